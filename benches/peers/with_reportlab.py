"""The page of the strip or of the table by reportlab: with_reportlab.py strip|table CONTENT.json FONTS OUT.pdf"""

import json
import sys

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen import canvas
from reportlab.platypus import Paragraph, Table, TableStyle

kind, content, fonts, out = sys.argv[1:]
with open(content, encoding="utf-8") as file:
    content = json.load(file)
card, about = content[kind], content["page"]
pdfmetrics.registerFont(TTFont("plain", f"{fonts}/DejaVuSans.ttf"))
pdfmetrics.registerFont(TTFont("bold", f"{fonts}/DejaVuSans-Bold.ttf"))
page = canvas.Canvas(out, pagesize=A4, pageCompression=1)
width, height = A4
rim = about["margin_mm"] * mm


def line(x0, y0, x1, y1, thick):
    page.setLineWidth(thick * mm)
    page.line(x0, y0, x1, y1)


def words(text, x, y, size, font="plain"):
    page.setFont(font, size)
    page.drawString(x, y, text)


# Check bars along and across, with what to do about them; a page of cards has a foot.
if kind == "strip":
    bar = about["bar_mm"] * mm
    for turned in (False, True):
        page.saveState()
        page.translate(rim, rim)
        if turned:
            page.rotate(90)
        line(0, 0, bar, 0, 0.3)
        for end in (0, bar):
            line(end, -2 * mm, end, 2 * mm, 0.2)
        words(about["bar"], 25 * mm, 3 * mm, 5)
        page.restoreState()
    style = ParagraphStyle("note", fontName="plain", fontSize=5, leading=6.5)
    heading = f'<font name="bold">{card["heading"]}</font> {about["size"]}<br/>{about["note"]} {card["material"]}'
    note = Paragraph(heading, style)
    _, used = note.wrapOn(page, width - bar - 3 * rim, height)
    note.drawOn(page, 2 * rim + bar, rim)
else:
    words(card["note"], rim, rim, 6, "bold")
    words(card["heading"], width - 60 * mm, rim, 6, "bold")
    words(card["size"], width - 30 * mm, rim, 6)

# The card: its outline and crop marks.
left, top = rim + 14 * mm, height - rim - 6 * mm
right, bottom = left + card["width_mm"] * mm, top - card["height_mm"] * mm
page.setLineWidth(0.1 * mm)
page.roundRect(left, bottom, right - left, top - bottom, 3 * mm)
for x in (left, right):
    for y, away in ((top, mm), (bottom, -mm)):
        line(x, y + 2 * away, x, y + 5 * away, 0.1)
for y in (top, bottom):
    for x, away in ((left, -mm), (right, mm)):
        line(x + 2 * away, y, x + 5 * away, y, 0.1)

if kind == "strip":
    first = bottom + 5 * mm
    for half in range(2 * (card["last"] - card["first"]) + 1):
        y = first + half * card["spacing_mm"] / 2 * mm
        whole = half % 2 == 0
        line(left, y, left + (8 if whole else 5) * mm, y, 0.7 if whole else 0.4)
        if whole:
            words(str(card["first"] + half // 2), left + 9 * mm, y - 9, 26, "bold")
    words(card["title"], left + mm, top - 20 * mm, 11, "bold")
    words(card["footer"], left + mm, top - 24 * mm, 6)
else:
    words(card["title"], left + 5 * mm, top - 13 * mm, 26, "bold")
    page.drawRightString(right - 5 * mm, top - 13 * mm, card["at_right"])
    words(card["kind"], left + 5 * mm, top - 18 * mm, 9, "bold")
    words(card["subtitle"], right - 18 * mm, top - 18 * mm, 7)
    value = ParagraphStyle("value", fontName="bold", fontSize=12, leading=13)

    def cell(lines):
        first, *band = lines
        small = [f'<font name="plain" size="7">{text}</font>' for text in band]
        return Paragraph("<br/>".join([first, *small]), value)

    rows = [[cell(lines) for lines in row] for row in card["rows"]]
    table = Table([card["head"], *rows], colWidths=[column * mm for column in card["columns_mm"]])
    rule = ("LINEBELOW", (0, 1), (-1, -1), 0.2 * mm, "black")
    across = ("LINEAFTER", (0, 0), (-2, -1), 0.2 * mm, "black")
    head = [("FONT", (0, 0), (-1, 0), "bold", 8), ("LINEBELOW", (0, 0), (-1, 0), 0.5 * mm, "black")]
    table.setStyle(TableStyle([*head, rule, across, ("VALIGN", (0, 1), (-1, -1), "TOP")]))
    _, used = table.wrapOn(page, right - left, height)
    table.drawOn(page, left + 5 * mm, top - 21 * mm - used)
    words(card["legend"], left + 5 * mm, bottom + 8 * mm, 7)
    words(card["footer"], left + 5 * mm, bottom + 5 * mm, 7)
    for name, x, to in zip(card["to_write"], (45, 110), (105, 143)):
        words(name, left + x * mm, bottom + 5 * mm, 7, "bold")
        line(left + (x + 25 if x == 45 else x + 8) * mm, bottom + 5 * mm, left + to * mm, bottom + 5 * mm, 0.2)
page.showPage()
page.save()
