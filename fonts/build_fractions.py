"""Builds CockpitFractions-Regular.otf and -Bold.otf: the vulgar fractions, drawn to be read at arm's length.

B612's own fractions are of hairline weight in both faces, and a half beside a bold 4 is easily missed. Here each one
is made of B612 Bold digits, so that its strokes match the numeral it follows. Run in this folder:

    pip install fonttools==4.68.0 skia-pathops==0.9.2
    python build_fractions.py

The result is a modified version of B612 under the same licence (B612-LICENSE.txt), with a name of its own.
"""

from math import cos, sin, tau

import pathops
from fontTools.fontBuilder import FontBuilder
from fontTools.misc.transform import Transform
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

EM = 2000
CAP_HEIGHT = 1500
DIGIT_SCALE = 0.60  # of a numeral's height: two of them stand across one another with little overlap
SIDE = 70  # white on either side
GAP = 55  # white between a digit and the bar, across it
OVERHANG = 40  # how far the bar passes cap height and baseline
# How far every outline is pushed outwards, so that strokes keep their weight when made smaller; and the bar's width.
WEIGHTS = {"Regular": (0, 150), "Bold": (20, 190)}
FRACTIONS = {"½": "12", "¼": "14", "¾": "34", "⅓": "13", "⅔": "23", "⅛": "18", "⅜": "38", "⅝": "58", "⅞": "78"}
DIRECTIONS = [(cos(step * tau / 16), sin(step * tau / 16)) for step in range(16)]
EPOCH = 2_082_844_800  # 1970-01-01 in a font's calendar: the same bytes on any day

def digit(glyphs, cmap, character, grow):
    """The digit at its small size, its strokes pushed outwards by `grow`, its lower left corner at the origin."""
    glyph = glyphs[cmap[ord(character)]]
    path = pathops.Path()
    for across, up in DIRECTIONS if grow else [(0, 0)]:
        copy = pathops.Path()
        glyph.draw(TransformPen(copy.getPen(), Transform(DIGIT_SCALE, 0, 0, DIGIT_SCALE, across * grow, up * grow)))
        path = pathops.op(path, copy, pathops.PathOp.UNION)
    left, bottom, _, _ = path.bounds
    moved = pathops.Path()
    path.draw(TransformPen(moved.getPen(), Transform(1, 0, 0, 1, -left, -bottom)))
    return moved

def placed(path, x, y):
    moved = pathops.Path()
    path.draw(TransformPen(moved.getPen(), Transform(1, 0, 0, 1, x, y)))
    return moved

def fraction(glyphs, cmap, over, under, grow, bar):
    """Numerator hung from cap height, denominator on the baseline, a slanted bar between them."""
    top, bottom = digit(glyphs, cmap, over, grow), digit(glyphs, cmap, under, grow)
    top_width, bottom_width = top.bounds[2], bottom.bounds[2]
    top = placed(top, 0, CAP_HEIGHT - top.bounds[3])
    low, high = -OVERHANG, CAP_HEIGHT + OVERHANG
    run = top_width * 0.5 + bottom_width * 0.5  # the bar's lean
    slope = run / (high - low)

    def bar_left(y):
        # Clear of the numerator's lower right corner.
        return top_width + GAP + (y - top.bounds[1]) * slope

    # The denominator's upper left corner clears the bar's right edge.
    x = bar_left(bottom.bounds[3]) + bar + GAP
    stroke = pathops.Path()
    pen = stroke.getPen()
    pen.moveTo((bar_left(low), low))
    pen.lineTo((bar_left(low) + bar, low))
    pen.lineTo((bar_left(high) + bar, high))
    pen.lineTo((bar_left(high), high))
    pen.closePath()
    whole = pathops.op(top, placed(bottom, x, 0), pathops.PathOp.UNION)
    whole = pathops.op(whole, stroke, pathops.PathOp.UNION)
    left, _, right, _ = whole.bounds
    return placed(whole, SIDE - left, 0), round(right - left + 2 * SIDE)

def build(weight):
    source = TTFont("B612-Bold.otf")
    glyphs, cmap = source.getGlyphSet(), source.getBestCmap()
    grow, bar = WEIGHTS[weight]
    names = [".notdef"] + [f"uni{ord(character):04X}" for character in FRACTIONS]
    charstrings, metrics = {}, {}
    for name, digits in zip(names, [None, *FRACTIONS.values()]):
        path, width = fraction(glyphs, cmap, *digits, grow, bar) if digits else (pathops.Path(), EM)
        pen = T2CharStringPen(width, None)
        path.draw(pen)
        bounds = BoundsPen(None)
        path.draw(bounds)
        charstrings[name] = pen.getCharString()
        metrics[name] = (width, round(bounds.bounds[0]) if bounds.bounds else 0)
    family, full = "Cockpit Fractions", f"CockpitFractions-{weight}"
    builder = FontBuilder(EM, isTTF=False)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(character): name for character, name in zip(FRACTIONS, names[1:])})
    builder.setupCFF(full, {"FullName": f"{family} {weight}", "FamilyName": family, "Weight": weight}, charstrings, {})
    builder.setupHorizontalMetrics(metrics)
    builder.setupHorizontalHeader(ascent=1700, descent=-400)
    builder.setupNameTable({
        "copyright": source["name"].getDebugName(0) + ", modified into fractions",
        "familyName": family,
        "styleName": weight,
        "uniqueFontIdentifier": f"{full} 1.0 after B612 1.008",
        "fullName": f"{family} {weight}",
        "version": "Version 1.0",
        "psName": full,
        "licenseDescription": source["name"].getDebugName(13),
        "licenseInfoURL": source["name"].getDebugName(14),
    })
    bold = weight == "Bold"
    builder.setupOS2(sTypoAscender=1700, sTypoDescender=-400, usWinAscent=1700, usWinDescent=400,
                     sCapHeight=CAP_HEIGHT, usWeightClass=700 if bold else 400, fsSelection=0x20 if bold else 0x40)
    builder.setupPost(keepGlyphNames=False)
    builder.updateHead(created=EPOCH, modified=EPOCH, macStyle=1 if bold else 0)
    builder.font.recalcTimestamp = False
    builder.save(f"{full}.otf")

if __name__ == "__main__":
    for weight in WEIGHTS:
        build(weight)
