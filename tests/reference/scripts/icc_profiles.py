"""Small colour profiles, written byte by byte after ICC.1:2022, for pictures to test with. LittleCMS reads them and says what they mean."""
import struct

import numpy as np

D50 = np.array([0.9642, 1.0, 0.8249])


def fixed(value):
    return struct.pack(">i", round(float(value) * 65536))


def xyz(values):
    return b"XYZ \0\0\0\0" + b"".join(fixed(v) for v in values)


def gamma(power):
    """A curve that is one power, in 1/256."""
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(power * 256))


def linear():
    return b"curv\0\0\0\0" + struct.pack(">I", 0)


def points(values):
    return b"curv\0\0\0\0" + struct.pack(f">I{len(values)}H", len(values), *(round(v * 65535) for v in values))


def parts(kind, *values):
    """A parametric curve."""
    return b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + b"".join(fixed(v) for v in values)


def text(words):
    line = words.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(line)) + line + bytes(8 + 3 + 67)


def profile(space, tags, connection=b"XYZ ", kind=b"mntr", version=0x02400000):
    """A profile of tags, [(name, data)], for a colour space such as b"RGB "."""
    tags = [(b"desc", text("a test")), (b"cprt", b"text\0\0\0\0CC0\0"), (b"wtpt", xyz(D50))] + tags
    head, body, at = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for name, data in tags:
        head += name + struct.pack(">II", at + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    start = struct.pack(">I4sI4s4s4s", at + len(body), b"\0\0\0\0", version, kind, space, connection)
    start += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + b"".join(fixed(v) for v in D50)
    return start + bytes(128 - len(start)) + head + body


def of_matrix(colorants, curves):
    """Three curves and a matrix, the colorants as columns."""
    tags = [(name + b"XYZ", xyz(colorants[:, i])) for i, name in enumerate([b"r", b"g", b"b"])]
    return profile(b"RGB ", tags + [(name + b"TRC", curve) for name, curve in zip([b"r", b"g", b"b"], curves)])


def grid(inputs, side, function, levels):
    """A grid's values, the first input slowest."""
    axes = np.meshgrid(*[np.linspace(0, 1, side)] * inputs, indexing="ij")
    values = function(*(axis.ravel() for axis in axes))
    return np.clip(np.round(np.stack(values, 1) * levels), 0, levels).astype(int).ravel()


def table8(inputs, side, function):
    """`mft1`; the function gives three values within 0..1 for the inputs'."""
    identity = b"".join(fixed(v) for v in np.eye(3).ravel())
    ramp = bytes(range(256))
    return b"mft1\0\0\0\0" + bytes([inputs, 3, side, 0]) + identity + ramp * inputs + bytes(grid(inputs, side, function, 255).tolist()) + ramp * 3


def table16(inputs, side, function, before):
    """`mft2` with input curves of their own points."""
    identity = b"".join(fixed(v) for v in np.eye(3).ravel())
    words = lambda values: struct.pack(f">{len(values)}H", *values)
    curve = words([round(v * 65535) for v in before])
    head = b"mft2\0\0\0\0" + bytes([inputs, 3, side, 0]) + identity + struct.pack(">HH", len(before), 2)
    return head + curve * inputs + words(grid(inputs, side, function, 65535).tolist()) + words([0, 65535]) * 3


def table_with_curves(side, function, a, m, matrix, offset, b):
    """`mAB ` with A curves, a grid of 16 bits, M curves, a matrix and B curves, all three alike in each set."""
    pad = lambda data: data + bytes(-len(data) % 4)
    words = grid(3, side, function, 65535).tolist()
    clut = bytes([side] * 3 + [0] * 13) + bytes([2, 0, 0, 0]) + struct.pack(f">{len(words)}H", *words)
    sections = [pad(b) * 3, b"".join(fixed(v) for v in [*np.ravel(matrix), *offset]), pad(m) * 3, pad(clut), pad(a) * 3]
    at, places = 32, []
    for section in sections:
        places.append(at)
        at += len(section)
    return b"mAB \0\0\0\0" + bytes([3, 3, 0, 0]) + struct.pack(">5I", *places) + b"".join(sections)
