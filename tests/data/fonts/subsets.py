"""Small fonts for the tests of the sheet's letters, and what an independent library shapes with them.

Made with fonttools 4.68.0 and uharfbuzz 0.57.0 (HarfBuzz) from the Noto fonts of Debian 12, packages fonts-noto-core
20201225-1 and fonts-noto-cjk 1:20220127+repack1-1:

    python subsets.py FOLDER_OF_THE_FONTS > shaped.json

`shaped.json` has, for each text, its glyphs from left to right: number, start of its cluster in bytes, advance and
offsets in units of the font.
"""

import json
import sys
from pathlib import Path

import uharfbuzz as hb
from fontTools import subset
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTCollection, TTFont

HERE = Path(__file__).parent
SHAPED = {
    "hebrew.ttf": ["בור צפוני", "בְּאֵר"],
    "arabic.ttf": ["بئر الشمال", "لا"],
    "devanagari.ttf": ["कुआँ", "क्षेत्र"],
    "thai.ttf": ["บ่อที่"],
    "chinese.ttc": ["北井"],
}
FILES = {
    "hebrew.ttf": "NotoSansHebrew-Regular.ttf",
    "arabic.ttf": "NotoSansArabic-Regular.ttf",
    "devanagari.ttf": "NotoSansDevanagari-Regular.ttf",
    "thai.ttf": "NotoSansThai-Regular.ttf",
    "chinese.ttc": "NotoSansCJK-Regular.ttc",
}
# Further characters that the tests ask for.
MORE = {"chinese.ttc": "南号泵房监测厂区旧水位", "hebrew.ttf": "אבגדהוזחטיכלמנסעפצקרשת"}


def make(name, source):
    options = subset.Options(hinting=False, name_IDs=["*"], notdef_outline=True, desubroutinize=True)
    options.drop_tables += ["DSIG", "VORG", "vhea", "vmtx", "BASE", "meta"]
    font = TTCollection(source).fonts[2] if source.suffix == ".ttc" else TTFont(source)
    subsetter = subset.Subsetter(options)
    subsetter.populate(text="".join(SHAPED[name]) + MORE.get(name, ""))
    subsetter.subset(font)
    font.recalcTimestamp = False
    if name.endswith(".ttc"):
        collection = TTCollection()
        collection.fonts = [font]
        collection.save(HERE / name)
    else:
        font.save(HERE / name)


def variable():
    """An invented font of one square Hebrew letter, 400 units wide in regular and 600 in bold."""
    build = FontBuilder(1000, isTTF=True)
    build.setupGlyphOrder([".notdef", "alef"])
    build.setupCharacterMap({0x05D0: "alef"})
    pen = TTGlyphPen(None)
    for i, corner in enumerate([(50, 0), (50, 700), (150, 700), (150, 0)]):
        (pen.moveTo if i == 0 else pen.lineTo)(corner)
    pen.closePath()
    build.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "alef": pen.glyph()})
    build.setupHorizontalMetrics({".notdef": (500, 0), "alef": (200, 50)})
    build.setupHorizontalHeader(ascent=800, descent=-200)
    build.setupNameTable({"familyName": "Invented Square", "styleName": "Thin"})
    build.setupFvar([("wght", 100, 100, 700, "Weight")], [])
    # At the bold end 500 units more; regular is half way between 100 and 700.
    wider = [(0, 0), (0, 0), (400, 0), (400, 0), (0, 0), (400, 0), (0, 0), (0, 0)]
    from fontTools.ttLib.tables.TupleVariation import TupleVariation

    build.setupGvar({"alef": [TupleVariation({"wght": (0, 1, 1)}, wider)], ".notdef": []})
    build.setupOS2(sTypoAscender=800, usWeightClass=100)
    build.setupPost()
    build.font["head"].created = build.font["head"].modified = 0
    build.font.recalcTimestamp = False
    build.save(HERE / "variable.ttf")


def shaped(name, text):
    face = hb.Face(hb.Blob.from_file_path(str(HERE / name)), 0)
    buffer = hb.Buffer()
    buffer.add_utf8(text.encode())
    buffer.guess_segment_properties()
    hb.shape(hb.Font(face), buffer)
    glyphs = zip(buffer.glyph_infos, buffer.glyph_positions)
    return [[i.codepoint, i.cluster, p.x_advance, p.x_offset, p.y_offset] for i, p in glyphs]


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    for name, file in FILES.items():
        make(name, next(folder.rglob(file)))
    variable()
    rows = [[name, text, shaped(name, text)] for name, texts in SHAPED.items() for text in texts]
    print("[")
    print(",\n".join(json.dumps(row, ensure_ascii=False) for row in rows))
    print("]")
