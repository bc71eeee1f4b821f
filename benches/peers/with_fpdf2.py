"""The page of the strip or of the table by fpdf2: with_fpdf2.py strip|table CONTENT.json FONTS OUT.pdf"""

import json
import sys

from fpdf import FPDF
from fpdf.enums import TableBordersLayout

kind, content, fonts, out = sys.argv[1:]
with open(content, encoding="utf-8") as file:
    content = json.load(file)
card, about = content[kind], content["page"]
page = FPDF(format="A4", unit="mm")
page.set_auto_page_break(False)
page.add_font("DejaVu", "", f"{fonts}/DejaVuSans.ttf")
page.add_font("DejaVu", "B", f"{fonts}/DejaVuSans-Bold.ttf")
page.add_page()
rim = about["margin_mm"]


def line(x0, y0, x1, y1, thick):
    page.set_line_width(thick)
    page.line(x0, y0, x1, y1)


def words(text, x, y, size, weight=""):
    page.set_font("DejaVu", weight, size)
    page.text(x, y, text)


# Check bars along and across, with what to do about them; a page of cards has a foot.
if kind == "strip":
    bar, foot = about["bar_mm"], page.h - rim
    for turned in (False, True):
        with page.rotation(90 if turned else 0, rim, foot):
            line(rim, foot, rim + bar, foot, 0.3)
            for end in (rim, rim + bar):
                line(end, foot - 2, end, foot + 2, 0.2)
            words(about["bar"], rim + 25, foot - 3, 5)
    page.set_xy(2 * rim + bar, foot - 20)
    page.set_font("DejaVu", "", 5)
    heading = f'**{card["heading"]}** {about["size"]}\n{about["note"]} {card["material"]}'
    page.multi_cell(page.w - bar - 3 * rim, 2.3, heading, markdown=True, align="L")
else:
    words(card["note"], rim, page.h - rim, 6, "B")
    words(card["heading"], page.w - 60, page.h - rim, 6, "B")
    words(card["size"], page.w - 30, page.h - rim, 6)

# The card: its outline and crop marks.
left, top = rim + 14, rim + 6
right, bottom = left + card["width_mm"], top + card["height_mm"]
page.set_line_width(0.1)
page.rect(left, top, right - left, bottom - top, round_corners=True, corner_radius=3)
for x in (left, right):
    for y, away in ((top, -1), (bottom, 1)):
        line(x, y + 2 * away, x, y + 5 * away, 0.1)
for y in (top, bottom):
    for x, away in ((left, -1), (right, 1)):
        line(x + 2 * away, y, x + 5 * away, y, 0.1)

if kind == "strip":
    for half in range(2 * (card["last"] - card["first"]) + 1):
        y = bottom - 5 - half * card["spacing_mm"] / 2
        whole = half % 2 == 0
        line(left, y, left + (8 if whole else 5), y, 0.7 if whole else 0.4)
        if whole:
            words(str(card["first"] + half // 2), left + 9, y + 3, 26, "B")
    words(card["title"], left + 1, top + 20, 11, "B")
    words(card["footer"], left + 1, top + 24, 6)
else:
    words(card["title"], left + 5, top + 13, 26, "B")
    words(card["at_right"], right - 5 - page.get_string_width(card["at_right"]), top + 13, 26, "B")
    words(card["kind"], left + 5, top + 18, 9, "B")
    words(card["subtitle"], right - 18, top + 18, 7)
    page.set_left_margin(left + 5)
    page.set_xy(left + 5, top + 21)
    page.set_font("DejaVu", "B", 7)
    layout = TableBordersLayout.INTERNAL
    columns = card["columns_mm"]
    with page.table(
        borders_layout=layout, width=sum(columns), col_widths=columns, align="LEFT", line_height=5, text_align="LEFT"
    ) as table:
        table.row(card["head"])
        page.set_font("DejaVu", "B", 12)
        for row in card["rows"]:
            cells = table.row()
            for value, *band in row:
                cells.cell("\n".join([value, *band]))
    words(card["legend"], left + 5, bottom - 8, 7)
    words(card["footer"], left + 5, bottom - 5, 7)
    for name, x, to in zip(card["to_write"], (45, 110), (105, 143)):
        words(name, left + x, bottom - 5, 7, "B")
        line(left + (x + 25 if x == 45 else x + 8), bottom - 5, left + to, bottom - 5, 0.2)
page.output(out)
