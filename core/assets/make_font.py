#!/usr/bin/env python3
"""Makes the "Stepbite Text" fonts from the static TrueType files of Vollkorn 4.105.

    make_font.py SOURCE_DIR [OUT_DIR]

SOURCE_DIR holds Vollkorn-Regular.ttf and Vollkorn-SemiBold.ttf (Debian package
fonts-vollkorn). OUT_DIR, by default the folder of this script, gets four files:
stepbite-text-{regular,semibold}.ttf for the PDF and .woff2 for the page.
Needs fonttools and brotli. OUT_DIR must hold OFL.txt, which opens with the source's
copyright line. The same source and versions of the tools give the same bytes.

What is changed, and why:
- cut down to the characters that the page and the sheets can meet;
- the plain digits 0 to 9 are the lining tabular ones, since the PDF writer reads
  nothing but cmap and hmtx, and a column of times must stand in line;
- a ballot box, a ticked box and a tick are added, drawn here: the family has none;
- U+2236 (ratio) is the colon raised to the lining figures, for large clock faces;
- renamed, as a changed font should be. Copyright and licence strings stay.
"""

import sys
from pathlib import Path

from fontTools import subset
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables import ttProgram

FAMILY = "Stepbite Text"
WEIGHTS = {"Regular": "Vollkorn-Regular.ttf", "Semibold": "Vollkorn-SemiBold.ttf"}

# Every one of these must be in the result, or no font is written.
REQUIRED_RANGES = [
    (0x0020, 0x007E),  # ASCII
    (0x00A0, 0x00FF),  # Latin-1
    (0x0100, 0x017F),  # Latin Extended-A
    (0x0400, 0x045F),  # Cyrillic: Russian, Bulgarian, Serbian, Macedonian, Belarusian
    (0x0490, 0x0491),  # Ukrainian ghe with upturn
]
REQUIRED_SIGNS = "✓☐☑≥≤−Δ×·–—′″°²³½→←↑↓…±≈№«»“”‘’„€"

# Taken in where the source has them: other Cyrillic alphabets, Romanian, Welsh and
# German capitals, spaces, subscripts for T₁ and S₂, and signs that plain text may bring.
WELCOME_RANGES = [
    (0x0218, 0x021B), (0x1E80, 0x1E85), (0x1E9E, 0x1E9E), (0x1EF2, 0x1EF3),
    (0x0492, 0x0493), (0x0496, 0x049D), (0x04A2, 0x04A3), (0x04AE, 0x04B3),
    (0x04BA, 0x04BB), (0x04D8, 0x04D9), (0x04E2, 0x04E3), (0x04E8, 0x04E9),
    (0x04EE, 0x04EF),
    (0x2007, 0x2015), (0x2018, 0x201E), (0x2020, 0x2022), (0x2026, 0x2026),
    (0x202F, 0x2030), (0x2032, 0x2033), (0x2039, 0x203A), (0x2044, 0x2044),
    (0x2070, 0x2070), (0x2074, 0x2079), (0x2080, 0x2089),
    (0x2122, 0x2122), (0x2153, 0x2154), (0x215B, 0x215E), (0x2190, 0x2193),
    (0x2206, 0x2206), (0x221E, 0x221E), (0x2236, 0x2236), (0x2248, 0x2248),
    (0x2260, 0x2260),
]

# Layout kept in the copy for the page; the copy for the PDF has none.
WEB_FEATURES = ["kern", "liga"]

DIGITS = range(0x30, 0x3A)


class FontError(Exception):
    """Says what was expected of the source or the result, and what came."""


def follow(font, glyph, feature):
    """The glyph that a one-for-one substitution feature puts in place of `glyph`."""
    gsub = font["GSUB"].table
    lookups = sorted({
        index
        for record in gsub.FeatureList.FeatureRecord
        if record.FeatureTag == feature
        for index in record.Feature.LookupListIndex
    })
    for index in lookups:
        for table in gsub.LookupList.Lookup[index].SubTable:
            table = getattr(table, "ExtSubTable", table)
            if table.LookupType == 1 and glyph in table.mapping:
                return table.mapping[glyph]
    return glyph


def map_character(font, code, glyph):
    """Points every Unicode character map at `glyph`; BMP characters only."""
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[code] = glyph


def set_tabular_lining_digits(font):
    cmap = font.getBestCmap()
    for code in DIGITS:
        tabular = follow(font, follow(font, cmap[code], "lnum"), "tnum")
        if tabular == cmap[code]:
            raise FontError(f"expected a lining tabular form of '{chr(code)}' in the source, found none")
        map_character(font, code, tabular)
    figure_width = font["hmtx"][font.getBestCmap()[0x30]][0]
    # The figure space has to be as wide as these digits, not as the source's own.
    pen = TTGlyphPen(None)
    add_glyph(font, "figurespace.tf", pen, figure_width)
    map_character(font, 0x2007, "figurespace.tf")
    raised = follow(font, cmap[ord(":")], "case")
    map_character(font, 0x2236, raised)


def add_glyph(font, name, pen, width):
    glyph = pen.glyph()
    order = font.getGlyphOrder()
    font.setGlyphOrder(order + [name])
    font["glyf"].glyphs[name] = glyph
    font["glyf"].glyphOrder = font.getGlyphOrder()
    glyph.recalcBounds(font["glyf"])
    font["hmtx"][name] = (width, getattr(glyph, "xMin", 0))


def stroke_of(font):
    """Thickness of the minus sign: the line that the drawn boxes should match."""
    minus = font["glyf"][font.getBestCmap()[0x2212]]
    return minus.yMax - minus.yMin


def draw_box(pen, left, bottom, side, stroke):
    # Outer edge clockwise, inner edge the other way, so that the middle stays open.
    for inset, turn in ((0, 1), (stroke, -1)):
        near, far = inset, side - inset
        corners = [(near, near), (near, far), (far, far), (far, near)][::turn]
        pen.moveTo((left + corners[0][0], bottom + corners[0][1]))
        for x, y in corners[1:]:
            pen.lineTo((left + x, bottom + y))
        pen.closePath()


def draw_tick(pen, left, heavier):
    """A tick as a broad pen makes it: a short heavy fall, a long rise that thins out.

    `heavier` is 0 for the regular weight and 1 for the semibold.
    """
    def at(x, y):
        return (round(left + x), round(y))

    pen.moveTo(at(0, 300))
    pen.qCurveTo(at(62, 330), at(98 + 10 * heavier, 374))
    pen.qCurveTo(at(162 + 14 * heavier, 290), at(204 + 12 * heavier, 158 + 10 * heavier))
    pen.qCurveTo(at(330, 454), at(560, 704))
    pen.lineTo(at(586 + 20 * heavier, 682 - 14 * heavier))
    pen.qCurveTo(at(384 + 50 * heavier, 420), at(226 + 30 * heavier, -14))
    pen.lineTo(at(170, -14))
    pen.qCurveTo(at(112 - 4 * heavier, 184), at(0, 300))
    pen.closePath()


def add_signs(font):
    """Adds the ballot box, the ticked box and the tick. Units: 1000 to the em."""
    if font["head"].unitsPerEm != 1000:
        raise FontError(f"expected 1000 units to the em, found {font['head'].unitsPerEm}")
    stroke = stroke_of(font)
    cap = font["OS/2"].sCapHeight
    heavier = (font["OS/2"].usWeightClass - 400) / 200
    side, bearing = cap + 44, 70
    bottom = -22

    pen = TTGlyphPen(None)
    draw_box(pen, bearing, bottom, side, stroke)
    add_glyph(font, "uni2610", pen, side + 2 * bearing)

    pen = TTGlyphPen(None)
    draw_box(pen, bearing, bottom, side, stroke)
    draw_tick(pen, bearing + 150, heavier)
    add_glyph(font, "uni2611", pen, side + 2 * bearing)
    # The tick crosses the box: rasterizers that count crossings need to be told.
    font["glyf"]["uni2611"].flags[0] |= 0x40

    pen = TTGlyphPen(None)
    draw_tick(pen, 60, heavier)
    add_glyph(font, "uni2713", pen, 720)

    for code in (0x2610, 0x2611, 0x2713):
        map_character(font, code, f"uni{code:04X}")


def rename(font, weight, source_version):
    names = font["name"]
    postscript = FAMILY.replace(" ", "") + "-" + weight
    kept = {0, 7, 8, 9, 11, 12, 13, 14}
    names.names = [record for record in names.names if record.nameID in kept and record.platformID == 3]

    def put(name_id, text):
        names.setName(text, name_id, 3, 1, 0x409)

    regular = weight == "Regular"
    put(1, FAMILY if regular else f"{FAMILY} {weight}")
    put(2, "Regular")
    put(3, f"{source_version};{postscript}")
    put(4, f"{FAMILY} {weight}")
    put(5, f"{source_version}; subset for Stepbite")
    put(6, postscript)
    put(10, "A changed subset of Vollkorn: lining tabular digits by default, ballot box and tick added.")
    if not regular:
        put(16, FAMILY)
        put(17, weight)


def drop_hints(font):
    """Smooth at every size; the source's machine-made hints weigh more than the outlines."""
    for tag in ("fpgm", "cvt ", "DSIG", "hdmx", "VDMX", "LTSH"):
        if tag in font:
            del font[tag]
    for name in font.getGlyphOrder():
        font["glyf"][name].removeHinting()
    font["gasp"] = newTable("gasp")
    font["gasp"].version = 1
    font["gasp"].gaspRange = {0xFFFF: 0x000F}
    program = ttProgram.Program()
    # Dropout control on at every size, so that hairlines never break up.
    program.fromAssembly(["PUSHW[] 511", "SCANCTRL[]", "PUSHB[] 4", "SCANTYPE[]"])
    font["prep"] = newTable("prep")
    font["prep"].program = program


def wanted():
    codes = {ord(sign) for sign in REQUIRED_SIGNS}
    for first, last in REQUIRED_RANGES + WELCOME_RANGES:
        codes.update(range(first, last + 1))
    return codes


def cut(font, features):
    options = subset.Options()
    options.layout_features = features
    options.layout_scripts = ["DFLT", "latn", "cyrl"]
    options.name_IDs = ["*"]
    options.name_languages = ["*"]
    options.notdef_outline = True
    options.glyph_names = False
    options.recalc_timestamp = False
    options.drop_tables += ["DSIG", "GlyphOrder"]
    if not features:
        options.drop_tables += ["GSUB", "GPOS", "GDEF"]
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=wanted())
    cutter.subset(font)


def check(font, label):
    cmap = font.getBestCmap()
    required = {ord(sign) for sign in REQUIRED_SIGNS}
    for first, last in REQUIRED_RANGES:
        required.update(range(first, last + 1))
    missing = sorted(required - cmap.keys())
    if missing:
        listed = " ".join(f"U+{code:04X}" for code in missing)
        raise FontError(f"{label}: expected every required character, missing {listed}")
    widths = {font["hmtx"][cmap[code]][0] for code in [*DIGITS, 0x2007]}
    if len(widths) != 1:
        raise FontError(f"{label}: expected one advance for all digits, found {sorted(widths)}")
    return len(cmap), widths.pop()


def build(source, weight, features):
    font = TTFont(source, recalcTimestamp=False)
    if "glyf" not in font:
        raise FontError(f"{source.name}: expected TrueType outlines (glyf), found none")
    version = font["name"].getDebugName(5)
    set_tabular_lining_digits(font)
    add_signs(font)
    cut(font, features)
    drop_hints(font)
    rename(font, weight, version)
    return font


def check_licence(font, out_dir):
    """The licence file beside the fonts must open with the font's own copyright line."""
    line = font["name"].getDebugName(0)
    path = out_dir / "OFL.txt"
    if not path.is_file() or path.read_text(encoding="utf-8").splitlines()[0] != line:
        raise FontError(f"expected OFL.txt beside the fonts, with the first line '{line}'")


def main(arguments):
    if not 1 <= len(arguments) <= 2:
        raise FontError("expected: make_font.py SOURCE_DIR [OUT_DIR]")
    source_dir = Path(arguments[0])
    out_dir = Path(arguments[1]) if len(arguments) == 2 else Path(__file__).resolve().parent
    for weight, file_name in WEIGHTS.items():
        source = source_dir / file_name
        if not source.is_file():
            raise FontError(f"expected {file_name} in {source_dir}, found none; install Vollkorn's static TrueType fonts")
        for suffix, features, flavor in ((".ttf", [], None), (".woff2", WEB_FEATURES, "woff2")):
            font = build(source, weight, features)
            check_licence(font, out_dir)
            path = out_dir / f"stepbite-text-{weight.lower()}{suffix}"
            characters, width = check(font, path.name)
            font.flavor = flavor
            font.save(path)
            print(f"{path.name}: {path.stat().st_size} bytes, {characters} characters, digits {width}/1000 em")


if __name__ == "__main__":
    try:
        main(sys.argv[1:])
    except FontError as error:
        sys.exit(f"make_font.py: {error}")
