"""Pictures of patches in every way a drawing may come, for tests/reference/drawings.rs: tests/fixtures/drawings and data/drawings*.csv.

The files are written by Pillow 13.0.0, ImageMagick 6.9.11 (convert), libtiff 4.5.0 (tiffcp, tiffset), tifffile and numpy, not by this project.
What Pillow does not write is spliced in by hand after the standards: chunks of PNG (ISO/IEC 15948), segments of JPEG (ITU-T T.81).
What each patch must be is worked out by others: sRGB and L* by colour-science 0.4.7, lossy files as Pillow (libjpeg, libwebp) reads them
back, profiles by LittleCMS 2.14 (transicc, relative colorimetric, to XYZ under D50, turned to D65 by colour-science's Bradford transform).

Run with ImageMagick, libtiff-tools, liblcms2-utils and webp installed. Only the standard library, numpy, Pillow, tifffile and colour-science are used.
"""
import io
import struct
import subprocess
import tempfile
import time
import zlib
from pathlib import Path

import colour
import numpy as np
import tifffile
from PIL import Image, ImageOps

import icc_profiles as icc
from csv_table import write

OUT = Path(__file__).resolve().parents[2] / "fixtures" / "drawings"
MADE = "made by scripts/make_drawings.py; the sources stand there"
SIDE = 16
PATCHES = {
    "white": (255, 255, 255), "light": (188, 188, 188), "mid": (119, 119, 119), "dark": (48, 48, 48),
    "black": (0, 0, 0), "red": (170, 60, 50), "green": (70, 120, 80), "blue": (50, 70, 150),
}
VALUES = np.array(list(PATCHES.values()), dtype=float)
GREYS = ["white", "light", "mid", "dark", "black"]
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
# What ImageMagick would write of the hour.
UNDATED = ["+set", "date:create", "+set", "date:modify", "-define", "png:exclude-chunks=date,time"]
rows, refused = [], []


def lightness(y):
    return float(colour.lightness(float(np.clip(y, 0, 1)) * 100, method="CIE 1976"))


def luminance(values, most=255.0):
    """Y of sRGB values."""
    return float(WEIGHTS @ colour.models.eotf_sRGB(np.asarray(values, dtype=float) / most))


def picture(names=tuple(PATCHES)):
    """A row of patches."""
    return Image.fromarray(np.concatenate([np.full((SIDE, SIDE, 3), PATCHES[name], np.uint8) for name in names], 1))


def greys():
    """The row of grey patches."""
    return picture(GREYS).convert("L")


def save(name, data):
    (OUT / name).write_bytes(data)


def expect(file, names, lights, tolerance=0.05, note=""):
    """Patches of the row, left to right, must be of these luminances, within so much L*. `note`: words that must stand in a note."""
    for i, (name, y) in enumerate(zip(names, lights)):
        rows.append([file, name, i * SIDE + SIDE // 2, SIDE // 2, round(lightness(y), 4), tolerance, note])


def as_srgb(file, names=tuple(PATCHES), tolerance=0.05, note=""):
    expect(file, names, [luminance(PATCHES[name]) for name in names], tolerance, note)


def as_pillow_reads(file, names, tolerance=0.5, note=""):
    """A lossy file: the middle of each patch as another decoder gives it."""
    pixels = np.asarray(Image.open(OUT / file).convert("RGB"))
    middle = [pixels[6:10, i * SIDE + 6:i * SIDE + 10].reshape(-1, 3).astype(float) for i in range(len(names))]
    expect(file, names, [np.mean([luminance(p) for p in patch]) for patch in middle], tolerance, note)


def pillow(file, image, **options):
    image.save(OUT / file, **options)


def convert(file, source, *options):
    """ImageMagick."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.png"
        source.save(path)
        subprocess.run(["convert", str(path), *UNDATED, *options, str(OUT / file)], check=True)


def libtiff(file, source, *options):
    """libtiff's tiffcp."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.tif"
        source.save(path) if isinstance(source, Image.Image) else path.write_bytes(source)
        subprocess.run(["tiffcp", *options, str(path), str(OUT / file)], check=True, stderr=subprocess.DEVNULL)


def chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def with_chunks(image, *chunks):
    """A PNG of Pillow's with chunks behind its header."""
    file = io.BytesIO()
    image.save(file, "PNG")
    file = file.getvalue()
    return file[:33] + b"".join(chunks) + file[33:]


def in_profile(profile, values):
    """Y under D65 of device values, by LittleCMS."""
    with tempfile.NamedTemporaryFile(suffix=".icc") as file:
        file.write(profile)
        file.flush()
        lines = "\n".join(" ".join(str(v) for v in np.atleast_1d(value)) for value in values)
        ran = subprocess.run(["transicc", f"-i{file.name}", "-o*XYZ", "-t1", "-n"], input=lines, text=True, capture_output=True, check=True)
    xyz = np.array([[float(v) for v in line.split()] for line in ran.stdout.splitlines() if line.strip()]) / 100
    white = colour.xy_to_XYZ([0.3127, 0.3290])
    return [colour.adaptation.chromatic_adaptation_VonKries(v, icc.D50, white, transform="Bradford")[1] for v in xyz]


def png():
    rgb, grey = picture(), greys()
    pillow("rgb8.png", rgb)
    as_srgb("rgb8.png")
    pillow("grey8.png", grey)
    as_srgb("grey8.png", GREYS)
    pillow("palette.png", rgb.quantize(8))
    as_srgb("palette.png")
    pillow("bit1.png", picture(["white", "black"]).convert("1"))
    as_srgb("bit1.png", ["white", "black"])
    for bits, most in [(2, 3), (4, 15)]:
        values = np.repeat(np.round(np.linspace(0, most, 4)) * 255 / most, SIDE)
        image = np.tile(values.astype(np.uint8), (SIDE, 1))
        # Packed by hand: ImageMagick writes eight bits whatever it is told.
        packed = np.packbits(np.unpackbits((image.astype(int) * most // 255).astype(np.uint8)[..., None], axis=2)[..., 8 - bits:].reshape(SIDE, -1), axis=1)
        lines = b"".join(b"\0" + line.tobytes() for line in packed)
        head = struct.pack(">IIBBBBB", 4 * SIDE, SIDE, bits, 0, 0, 0, 0)
        save(f"grey{bits}.png", b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(lines)) + chunk(b"IEND", b""))
        expect(f"grey{bits}.png", "abcd", [luminance([v] * 3) for v in values[8::SIDE]])
    convert("interlaced.png", rgb, "-interlace", "PNG", "-define", "png:color-type=2")
    as_srgb("interlaced.png")
    # Sixteen bits: thirty-three greys that eight bits would not keep apart.
    fine = np.repeat((20000 + 40 * np.arange(8)).astype(np.uint16), SIDE)
    fine = np.tile(fine, (SIDE, 1))
    pillow("grey16.png", Image.fromarray(fine))
    expect("grey16.png", "abcdefgh", [luminance([v] * 3, 65535) for v in fine[0, 8::SIDE]], 0.005)
    deep = np.stack([fine, fine, np.full_like(fine, 20000)], 2)
    with tempfile.TemporaryDirectory() as folder:
        tifffile.imwrite(f"{folder}/deep.tif", deep)
        subprocess.run(["convert", f"{folder}/deep.tif", *UNDATED, "-define", "png:color-type=2", "-define", "png:bit-depth=16", f"{OUT}/rgb16.png"], check=True)
        alpha = np.concatenate([deep, np.full((*fine.shape, 1), 0x8000, np.uint16)], 2)
        tifffile.imwrite(f"{folder}/alpha.tif", alpha, extrasamples=["unassalpha"], photometric="rgb")
        subprocess.run(["convert", f"{folder}/alpha.tif", *UNDATED, "-define", "png:color-type=6", "-define", "png:bit-depth=16", f"{OUT}/rgba16.png"], check=True)
    expect("rgb16.png", "abcdefgh", [luminance(v, 65535) for v in deep[0, 8::SIDE]], 0.005)
    share = 0x8000 / 65535
    expect("rgba16.png", "abcdefgh", [1 - share * (1 - luminance(v, 65535)) for v in deep[0, 8::SIDE]], 0.005)
    # Alpha: half covered, over white.
    half = rgb.copy()
    half.putalpha(128)
    pillow("rgba8.png", half)
    expect("rgba8.png", PATCHES, [1 - 128 / 255 * (1 - luminance(v)) for v in VALUES])
    half = grey.copy().convert("LA")
    half.putalpha(64)
    pillow("la8.png", half)
    expect("la8.png", GREYS, [1 - 64 / 255 * (1 - luminance(PATCHES[n])) for n in GREYS])
    clear = Image.new("RGBA", (SIDE, SIDE), (10, 20, 30, 0))
    pillow("clear.png", clear)
    expect("clear.png", ["clear"], [1.0])
    few = rgb.quantize(8)
    pillow("palette-clear.png", few, transparency=bytes([255, 128, 0]))
    table = np.array(few.getpalette()).reshape(-1, 3)[:8]
    shares = [1, 128 / 255, 0, 1, 1, 1, 1, 1]
    middle = [few.getpixel((i * SIDE + 8, 8)) for i in range(8)]
    expect("palette-clear.png", PATCHES, [1 - shares[k] * (1 - luminance(table[k])) for k in middle])

    # What the values mean. A pure power, with and without primaries; precedence (PNG, third edition, 4.3).
    gama = lambda g: chunk(b"gAMA", struct.pack(">I", g))
    wide = [(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)]
    chrm = chunk(b"cHRM", struct.pack(">8I", 31270, 32900, *[round(v * 100000) for xy in wide for v in xy]))
    power = lambda g: [(VALUES[i] / 255) ** g for i in range(8)]
    save("gamma-linear.png", with_chunks(rgb, gama(100000)))
    expect("gamma-linear.png", PATCHES, [WEIGHTS @ v for v in power(1.0)])
    save("gamma-1.8.png", with_chunks(grey, gama(55556)))
    expect("gamma-1.8.png", GREYS, [(PATCHES[n][0] / 255) ** (1 / 0.55556) for n in GREYS])
    save("gamma-primaries.png", with_chunks(rgb, gama(50000), chrm))
    to_xyz = colour.normalised_primary_matrix(np.array(wide), [0.3127, 0.3290])
    expect("gamma-primaries.png", PATCHES, [(to_xyz @ v)[1] for v in power(2.0)], 0.05)
    save("gamma-srgb-said.png", with_chunks(rgb, gama(45455)))
    as_srgb("gamma-srgb-said.png")
    save("srgb-over-gamma.png", with_chunks(rgb, gama(100000), chunk(b"sRGB", b"\0")))
    as_srgb("srgb-over-gamma.png")
    straight = icc.of_matrix(colorants(wide), [icc.linear()] * 3)
    iccp = lambda profile: chunk(b"iCCP", b"x\0\0" + zlib.compress(profile))
    save("profile-over-gamma.png", with_chunks(rgb, gama(45455), iccp(straight)))
    expect("profile-over-gamma.png", PATCHES, in_profile(straight, VALUES), 0.1, "profile is applied")
    # cICP before all: primaries and curve of BT.2020 (9), linear (8).
    save("code-points.png", with_chunks(rgb, chunk(b"cICP", bytes([9, 8, 0, 1])), gama(45455), iccp(straight)))
    to_xyz = colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_RGB_to_XYZ
    expect("code-points.png", PATCHES, [(to_xyz @ (v / 255))[1] for v in VALUES], 0.05)
    save("code-points-odd.png", with_chunks(rgb, chunk(b"cICP", bytes([9, 16, 0, 1]))))
    as_srgb("code-points-odd.png", note="read as sRGB")
    pillow("animated.png", rgb, save_all=True, append_images=[ImageOps.invert(rgb)], duration=100)
    as_srgb("animated.png", note="animation")


def colorants(primaries):
    """XYZ of primaries under D65, turned to D50, as columns."""
    matrix = colour.normalised_primary_matrix(np.array(primaries), [0.3127, 0.3290])
    turn = colour.adaptation.matrix_chromatic_adaptation_VonKries(colour.xy_to_XYZ([0.3127, 0.3290]), icc.D50, transform="Bradford")
    return turn @ matrix


def profiles():
    rgb, grey = picture(), greys()
    wide = [(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)]

    def both(name, profile, tolerance=0.1, note="profile is applied", image=rgb, names=tuple(PATCHES), values=VALUES):
        lights = in_profile(profile, values)
        for file, options in [(f"{name}.png", {}), (f"{name}.tif", {"compression": "tiff_deflate"})]:
            pillow(file, image, icc_profile=profile, **options)
            expect(file, names, lights, tolerance, note)

    both("profile-wide", icc.of_matrix(colorants(wide), [icc.gamma(2.2)] * 3))
    both("profile-linear", icc.of_matrix(colorants(wide), [icc.linear()] * 3))
    # Three curves of three kinds.
    both("profile-parts", icc.of_matrix(colorants([(0.68, 0.32), (0.265, 0.69), (0.15, 0.06)]), [
        icc.parts(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045), icc.points(np.linspace(0, 1, 64) ** 1.7), icc.parts(0, 2.0)]))
    both("profile-table", icc.profile(b"RGB ", [(b"A2B0", icc.table16(3, 9, lambda r, g, b: (
        0.2 + 0.75 * (0.3 * r + 0.6 * g + 0.1 * b), 0.5 + 0.15 * (r - g), 0.5 + 0.15 * (g - b)), np.linspace(0, 1, 32) ** 1.3))], b"Lab "), 0.5)
    both("profile-curves-table", icc.profile(b"RGB ", [(b"A2B0", icc.table_with_curves(
        6, lambda r, g, b: (0.4 * r + 0.1, 0.45 * g + 0.05 * r, 0.4 * b), icc.parts(0, 1.2), icc.parts(0, 1.1),
        [[0.9, 0.05, 0], [0.1, 0.8, 0.1], [0, 0.02, 0.8]], [0.01, 0.0, 0.0], icc.linear()))], version=0x04200000), 0.5)
    values = [PATCHES[n][0] for n in GREYS]
    both("profile-grey", icc.profile(b"GRAY", [(b"kTRC", icc.gamma(1.8))]), image=grey, names=GREYS, values=values)
    both("profile-grey-linear", icc.profile(b"GRAY", [(b"kTRC", icc.linear())]), image=grey, names=GREYS, values=values)
    # A profile of sRGB changes nothing and is not spoken of; Pillow (LittleCMS) makes it.
    from PIL import ImageCms
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    srgb = srgb[:24] + struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + srgb[36:]
    pillow("profile-srgb.png", rgb, icc_profile=srgb)
    as_srgb("profile-srgb.png", note="-")
    pillow("profile-srgb.jpg", rgb, icc_profile=srgb, quality=98, subsampling=0)
    as_pillow_reads("profile-srgb.jpg", PATCHES, note="-")
    pillow("profile-broken.png", rgb, icc_profile=b"no profile at all")
    as_srgb("profile-broken.png", note="not applied")
    wide_gamma = icc.of_matrix(colorants(wide), [icc.gamma(1.8)] * 3)
    for file, options in [("profile-wide.jpg", {"quality": 98, "subsampling": 0}), ("profile-wide.webp", {"lossless": True})]:
        pillow(file, rgb, icc_profile=wide_gamma, **options)
        pixels = np.asarray(Image.open(OUT / file).convert("RGB"))
        expect(file, PATCHES, in_profile(wide_gamma, [pixels[8, i * SIDE + 8] for i in range(8)]), 0.5, "profile is applied")
    # Four inks by a table: what the paper keeps, with black as a fifth power.
    inks = icc.profile(b"CMYK", [(b"A2B0", icc.table8(4, 5, lambda c, m, y, k: (
        (1 - 0.3 * c - 0.35 * m - 0.1 * y).clip(0, 1) * (1 - 0.85 * k), 0.5 + 0.1 * (m - c), 0.5 + 0.1 * (y - m))))], b"Lab ", b"prtr")
    stored = np.array([[0, 0, 0, 0], [0, 0, 0, 128], [0, 0, 0, 255], [255, 0, 0, 0], [60, 200, 30, 40]], np.uint8)
    image = Image.fromarray(np.repeat(np.repeat(stored[None], SIDE, 0), SIDE, 1), "CMYK")
    lights = in_profile(inks, stored / 255 * 100)
    pillow("profile-inks.tif", image, icc_profile=inks, compression="tiff_lzw")
    expect("profile-inks.tif", "abcde", lights, 0.5, "profile is applied")
    pillow("profile-inks.jpg", image, icc_profile=inks, quality=100)
    expect("profile-inks.jpg", "abcde", lights, 1.0, "profile is applied")


def tiff():
    rgb, grey = picture(), greys()
    for name, options in {
        "strips": ["-c", "none", "-r", "4"], "lzw": ["-c", "lzw"], "lzw-differences": ["-c", "lzw:2", "-r", "5"], "deflate": ["-c", "zip:2"],
        "packbits": ["-c", "packbits"], "tiles": ["-t", "-w", "32", "-l", "16", "-c", "lzw:2"], "tiles-odd": ["-t", "-w", "48", "-l", "48"],
        "planes": ["-p", "separate", "-c", "lzw"], "planes-tiles": ["-p", "separate", "-t", "-w", "48", "-l", "16"], "big": ["-8"],
        "high-first": ["-B"],
    }.items():
        libtiff(f"{name}.tif", rgb, *options)
        as_srgb(f"{name}.tif")
    libtiff("jpeg.tif", rgb, "-c", "jpeg:98", "-r", "16")
    as_pillow_reads("jpeg.tif", PATCHES)
    libtiff("jpeg-rgb.tif", rgb, "-c", "jpeg:r:98", "-r", "16")
    as_pillow_reads("jpeg-rgb.tif", PATCHES)
    libtiff("jpeg-tiles.tif", rgb, "-c", "jpeg:98", "-t", "-w", "48", "-l", "16")
    as_pillow_reads("jpeg-tiles.tif", PATCHES)
    pillow("grey8.tif", grey)
    as_srgb("grey8.tif", GREYS)
    pillow("palette.tif", rgb.quantize(8), compression="tiff_lzw")
    as_srgb("palette.tif")
    convert("palette4.tif", rgb, "-type", "palette", "-depth", "4", "-colors", "8", "-compress", "none")
    as_pillow_reads("palette4.tif", PATCHES, 0.05)
    bits = picture(["white", "black", "white"]).convert("1")
    for name, options in {"bit1": {}, "bit1-fax": {"compression": "group4"}}.items():
        pillow(f"{name}.tif", bits, **options)
        as_srgb(f"{name}.tif", ["white", "black", "white"])
    pillow("bit1-white-is-zero.tif", ImageOps.invert(bits))
    subprocess.run(["tiffset", "-s", "262", "0", str(OUT / "bit1-white-is-zero.tif")], check=True)
    as_srgb("bit1-white-is-zero.tif", ["white", "black", "white"])
    libtiff("bit1-low-first.tif", bits, "-f", "lsb2msb", "-c", "none")
    as_srgb("bit1-low-first.tif", ["white", "black", "white"])
    tifffile.imwrite(OUT / "white-is-zero.tif", 255 - np.asarray(grey), photometric="miniswhite")
    as_srgb("white-is-zero.tif", GREYS)
    fine = np.tile(np.repeat((20000 + 40 * np.arange(8)).astype(np.uint16), SIDE), (SIDE, 1))
    deep = np.stack([fine, fine, np.full_like(fine, 20000)], 2)
    tifffile.imwrite(OUT / "grey16.tif", fine)
    expect("grey16.tif", "abcdefgh", [luminance([v] * 3, 65535) for v in fine[0, 8::SIDE]], 0.005)
    tifffile.imwrite(OUT / "grey16-white-is-zero.tif", 65535 - fine, photometric="miniswhite", byteorder=">")
    expect("grey16-white-is-zero.tif", "abcdefgh", [luminance([v] * 3, 65535) for v in fine[0, 8::SIDE]], 0.005)
    buffer = io.BytesIO()
    tifffile.imwrite(buffer, deep, photometric="rgb")
    libtiff("rgb16-differences.tif", buffer.getvalue(), "-c", "lzw:2", "-B")
    libtiff("rgb16-tiles.tif", buffer.getvalue(), "-c", "zip:2", "-t", "-w", "32", "-l", "16")
    (OUT / "rgb16.tif").write_bytes(buffer.getvalue())
    for name in ["rgb16", "rgb16-differences", "rgb16-tiles"]:
        expect(f"{name}.tif", "abcdefgh", [luminance(v, 65535) for v in deep[0, 8::SIDE]], 0.005)
    tifffile.imwrite(OUT / "grey32.tif", fine.astype(np.uint32) << 16)
    expect("grey32.tif", "abcdefgh", [luminance([v] * 3, 65535) for v in fine[0, 8::SIDE]], 0.005)
    # Alpha, apart and multiplied in.
    plain, share = np.asarray(rgb), 128 / 255
    apart = np.dstack([plain, np.full(plain.shape[:2], 128, np.uint8)])
    tifffile.imwrite(OUT / "rgba8.tif", apart, photometric="rgb", extrasamples=["unassalpha"])
    expect("rgba8.tif", PATCHES, [1 - share * (1 - luminance(v)) for v in VALUES])
    multiplied = apart.copy()
    multiplied[..., :3] = np.round(plain * share)
    tifffile.imwrite(OUT / "rgba8-associated.tif", multiplied, photometric="rgb", extrasamples=["assocalpha"])
    expect("rgba8-associated.tif", PATCHES, [1 - share * (1 - luminance(v)) for v in VALUES], 0.5)
    greyed = np.dstack([np.asarray(grey), np.full((SIDE, SIDE * 5), 64, np.uint8)])
    tifffile.imwrite(OUT / "la8.tif", greyed, photometric="minisblack", planarconfig="contig", extrasamples=["unassalpha"])
    expect("la8.tif", GREYS, [1 - 64 / 255 * (1 - luminance(PATCHES[n])) for n in GREYS])
    buffer = io.BytesIO()
    tifffile.imwrite(buffer, apart, photometric="rgb", extrasamples=["unspecified"])
    libtiff("rgb-and-more.tif", buffer.getvalue(), "-c", "lzw:2")
    as_srgb("rgb-and-more.tif", note="channels beside")
    # Floating point is light itself.
    light = colour.models.eotf_sRGB(plain / 255.0)
    for width, kind in [(16, np.float16), (32, np.float32), (64, np.float64)]:
        tifffile.imwrite(OUT / f"float{width}.tif", light.astype(kind), photometric="rgb")
        as_srgb(f"float{width}.tif", tolerance=0.05, note="without a gamma")
    buffer = io.BytesIO()
    tifffile.imwrite(buffer, light.astype(np.float32), photometric="rgb")
    libtiff("float32-differences.tif", buffer.getvalue(), "-c", "zip:3", "-t", "-w", "32", "-l", "16")
    as_srgb("float32-differences.tif", note="without a gamma")
    tifffile.imwrite(OUT / "float-wide.tif", (light * 4).astype(np.float32), photometric="rgb")
    refused.append(["float-wide.tif", "from 0 (black) to 1 (white)"])
    inks = rgb.convert("CMYK")
    pillow("inks.tif", inks, compression="tiff_lzw")
    as_srgb("inks.tif", tolerance=0.5, note="CMYK")
    libtiff("inks-planes.tif", inks, "-p", "separate")
    as_srgb("inks-planes.tif", tolerance=0.5, note="CMYK")
    pillow("pages.tif", rgb, save_all=True, append_images=[ImageOps.invert(rgb)], compression="tiff_lzw")
    as_srgb("pages.tif", note="several pictures")
    convert("lab.tif", rgb, "-colorspace", "Lab")
    refused.append(["lab.tif", "Lab colours"])
    tifffile.imwrite(OUT / "signed.tif", np.zeros((4, 4), np.int16))
    refused.append(["signed.tif", "signed values"])
    libtiff("bit1-fax3.tif", bits, "-c", "g3")
    refused.append(["bit1-fax3.tif", "is not read here"])
    # Marks of cameras' files: a colour filter array, and a version of the open raw format.
    tifffile.imwrite(OUT / "raw-array.tif", np.zeros((4, 4), np.uint16), photometric="cfa", extratags=[(33421, "H", 2, (2, 2)), (33422, "B", 4, (0, 1, 1, 2))])
    tifffile.imwrite(OUT / "raw-marked.tif", np.zeros((4, 4), np.uint16), extratags=[(50706, "B", 4, (1, 4, 0, 0))])
    refused.extend([[name, "raw file"] for name in ["raw-array.tif", "raw-marked.tif"]])


def jpeg():
    rgb, grey = picture(), greys()
    for name, options in {"rgb": {}, "progressive": {"progressive": True}, "subsampled": {"subsampling": 2}, "plain-rgb": {"keep_rgb": True}}.items():
        pillow(f"{name}.jpg", rgb, **({"quality": 95, "subsampling": 0} | options))
        as_pillow_reads(f"{name}.jpg", PATCHES)
    # The same without any mark: the components' names, R, G and B, say it, as they do to libjpeg.
    data = (OUT / "plain-rgb.jpg").read_bytes()
    mark = data.index(b"Adobe") - 4
    save("plain-rgb-unmarked.jpg", data[:mark] + data[mark + 16:])
    as_pillow_reads("plain-rgb-unmarked.jpg", PATCHES)
    pillow("grey.jpg", grey, quality=95)
    as_pillow_reads("grey.jpg", GREYS)
    # Inks: Pillow and ImageMagick mark them after Adobe's way and store them inverted; as plain arithmetic gives them back.
    inks = rgb.convert("CMYK")
    pillow("inks.jpg", inks, quality=98)
    as_pillow_reads("inks.jpg", PATCHES, note="CMYK")
    dark = Image.new("CMYK", (SIDE * 2, SIDE), (0, 0, 0, 0))
    dark.paste((0, 0, 0, 230), (0, 0, SIDE, SIDE))
    pillow("inks-dark.jpg", dark, quality=98)
    expect("inks-dark.jpg", ["dark", "white"], [luminance([25] * 3), 1.0], 0.5, "CMYK")
    convert("inks-magick.jpg", rgb, "-colorspace", "CMYK", "-quality", "98")
    as_srgb("inks-magick.jpg", tolerance=1.0, note="CMYK")
    # As YCCK: the same inks, their first three through the matrix of T.871 first. Pillow writes three and the marker is set by hand.
    values = np.asarray(inks).astype(float)
    stored = 255 - values
    # libjpeg's way: Y, Cb, Cr of 255 less what is stored, black as it is stored.
    first = 255 - stored[..., :3]
    y = first @ [0.299, 0.587, 0.114]
    ycc = np.stack([y, 128 + (first[..., 2] - y) / 1.772, 128 + (first[..., 0] - y) / 1.402], 2)
    four = np.clip(np.round(np.dstack([ycc, stored[..., 3]])), 0, 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(255 - four, "CMYK").save(buffer, "JPEG", quality=98)
    data = bytearray(buffer.getvalue())
    mark = data.index(b"Adobe")
    data[mark + 11] = 2
    save("inks-ycck.jpg", bytes(data))
    as_pillow_reads("inks-ycck.jpg", PATCHES, note="CMYK")
    as_srgb("inks-ycck.jpg", tolerance=1.0, note="CMYK")
    # Without its marker nobody knows which way the inks run.
    data = (OUT / "inks-dark.jpg").read_bytes()
    mark = data.index(b"Adobe") - 4
    save("inks-unmarked.jpg", data[:mark] + data[mark + 16:])
    refused.append(["inks-unmarked.jpg", "does not say which way"])


def others():
    rgb = picture()
    half = rgb.copy()
    half.putalpha(128)
    pillow("rgb.webp", rgb, lossless=True)
    as_srgb("rgb.webp")
    pillow("lossy.webp", rgb, quality=95)
    as_pillow_reads("lossy.webp", PATCHES, 0.7)
    pillow("rgba.webp", half, lossless=True)
    expect("rgba.webp", PATCHES, [1 - 128 / 255 * (1 - luminance(v)) for v in VALUES])
    pillow("animated.webp", rgb, save_all=True, append_images=[ImageOps.invert(rgb)], duration=100, lossless=True)
    as_srgb("animated.webp", note="animation")
    pillow("rgb.bmp", rgb)
    as_srgb("rgb.bmp")
    pillow("palette.bmp", rgb.quantize(8))
    as_srgb("palette.bmp")
    pillow("bit1.bmp", picture(["white", "black"]).convert("1"))
    as_srgb("bit1.bmp", ["white", "black"])
    # Another name than it should have.
    save("really-png.jpg", (OUT / "rgb8.png").read_bytes())
    as_srgb("really-png.jpg")

    tiny = picture(["white", "black"]).resize((8, 4))
    for file, words, options in [
        ("picture.gif", "GIF", {}), ("picture.avif", "AVIF", {}), ("picture.pdf", "PDF", {"creationDate": time.gmtime(0), "modDate": time.gmtime(0)}), ("picture.jp2", "JPEG 2000", {}), ("picture.ico", "icon", {}),
        ("picture.ppm", "PNM", {}), ("picture.eps", "PostScript", {}),
    ]:
        pillow(file, tiny, **options)
        refused.append([file, words])
    for file, words in [("picture.psd", "layered"), ("picture.svg", "SVG"), ("picture.hdr", "wide range")]:
        convert(file, tiny) if not file.endswith("svg") else save(file, b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>\n')
        refused.append([file, words])
    # First bytes alone, after ISO/IEC 14496-12 and 18181-2, and of a ZIP.
    for file, start, words in [
        ("phone.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"), ("picture.jxl", b"\0\0\0\x0cJXL \r\n\x87\n", "JPEG XL"),
        ("document.docx", b"PK\x03\x04\x14\0\x06\0", "ZIP"), ("page.png", b"<!DOCTYPE html>\n<html><body>Not found</body></html>\n", "web page"),
        ("letters.png", b"dear diary\n", "none of these"), ("empty.png", b"", "empty"),
    ]:
        save(file, start + (bytes(40) if b"ftyp" in start else b""))
        refused.append([file, words])
    for file, source, share in [("cut.png", "rgb8.png", 0.6), ("cut.jpg", "rgb.jpg", 0.6), ("cut.tif", "lzw.tif", 0.5), ("cut.webp", "lossy.webp", 0.5)]:
        data = (OUT / source).read_bytes()
        save(file, data[:int(len(data) * share)])
        refused.append([file, "stops before"])
    # Sizes that are refused before a pixel is looked at: 100 000 each way; 20 000 interlaced.
    header = lambda side, bits, kind, laced: b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, bits, kind, 0, 0, laced))
    save("bomb.png", header(100000, 1, 0, 0) + chunk(b"IDAT", zlib.compress(bytes(2000))) + chunk(b"IEND", b""))
    save("bomb-interlaced.png", header(20000, 8, 2, 1) + chunk(b"IDAT", zlib.compress(bytes(2000))) + chunk(b"IEND", b""))
    refused.extend([["bomb.png", "at most 400 million pixels"], ["bomb-interlaced.png", "without interlacing"]])


# Where a stored picture's first row and column stand, by Exif 2.32, 4.6.4 A: the transposition that a stored F needs, the inverse of what shows it.
TURNS = {2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE,
         6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE, 8: Image.Transpose.ROTATE_270}


def letters():
    f = np.full((56, 40), 240, np.uint8)
    f[8:48, 8:16] = f[8:16, 8:32] = f[24:32, 8:24] = 20
    upright = Image.fromarray(f)
    pillow("f.png", upright)
    for tag in range(1, 9):
        stored = upright.transpose(TURNS[tag]) if tag in TURNS else upright
        exif = Image.Exif()
        exif[0x0112] = tag
        for file, image, options in [
            (f"f{tag}.png", stored, {"exif": exif}), (f"f{tag}.jpg", stored, {"exif": exif, "quality": 90}),
            (f"f{tag}.webp", stored.convert("RGB"), {"exif": exif, "lossless": True}), (f"f{tag}.tif", stored, {"tiffinfo": {274: tag}, "compression": "tiff_lzw"}),
        ]:
            pillow(file, image, **options)
            # Pillow, which did not look at this project, must see the same F.
            shown = np.asarray(ImageOps.exif_transpose(Image.open(OUT / file)).convert("L"))
            assert shown.shape == f.shape and np.abs(shown.astype(int) - f).mean() < 3, file


OUT.mkdir(parents=True, exist_ok=True)
for old in OUT.iterdir():
    old.unlink()
for part in [png, profiles, tiff, jpeg, others, letters]:
    part()
write("drawings.csv", ["patches of tests/fixtures/drawings: column and row of a patch's middle, its L*, how far off it may be, words of a note that must be",
      "there (- for none at all)", "sources in the script", MADE], ["file", "patch", "x", "y", "lightness", "tolerance", "note"], rows)
write("drawings_refused.csv", ["files of tests/fixtures/drawings that must be refused, and words of the sentence", "ours", MADE], ["file", "words"], refused)
print(sum(file.stat().st_size for file in OUT.iterdir()), "bytes in", len(list(OUT.iterdir())), "files")
