"""Tables as a real spreadsheet program saves them, for `tests/books/spreadsheets.rs`.

Writes a small spreadsheet as flat OpenDocument text, lets LibreOffice Calc save it as `spreadsheet_program.xlsx` and as
`spreadsheet_program_de.csv` (German: semicolons and decimal commas), and notes the version in `spreadsheet_program.json`.
Wants `soffice` (Debian: `apt-get install --no-install-recommends libreoffice-calc-nogui`). All readings are made up.
"""

import json
import pathlib
import subprocess
import tempfile

HERE = pathlib.Path(__file__).parent
NAME = "spreadsheet_program"


# How a cell is written in OpenDocument: a text, a number, a number shown in some way, a formula with its value.
def text(words):
    return f'<table:table-cell office:value-type="string"><text:p>{words}</text:p></table:table-cell>'


def number(value, style="plain", formula=None):
    written = f' table:formula="of:{formula}"' if formula else ""
    return f'<table:table-cell table:style-name="{style}"{written} office:value-type="float" office:value="{value}"/>'


def row(*cells):
    return f"<table:table-row>{''.join(cells)}</table:table-row>"



def settings(style):
    """The rows of one set of sails, the reading between two marks shown in this style."""
    return [
        row(text("wind"), text("backstay"), text("lead"), text("vang")),
        row(number(6), number(0), number(13), text("eased")),
        # The reading is worked out from the row before.
        row(number(10), number(2, formula="=[.B2]+2"), number(12), text("snug")),
        row(number(14), number(4.5, style=style), number(14), text("hard")),
    ]


# What a crew keeps beside the table: workings that no card is made of.
WORKINGS = [row(text("luff"), number(14.95)), row(text("log"), number(1.25))]


def book(style):
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document office:version="1.3" office:mimetype="application/vnd.oasis.opendocument.spreadsheet"
  xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
  xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
  xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
  xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"
  xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"
  xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0">
 <office:automatic-styles>
  <number:number-style style:name="fraction">
   <number:fraction number:min-integer-digits="1" number:min-numerator-digits="1" number:min-denominator-digits="1"/>
  </number:number-style>
  <number:number-style style:name="comma" number:language="de" number:country="DE">
   <number:number number:min-integer-digits="1" number:decimal-places="1"/>
  </number:number-style>
  <style:style style:name="plain" style:family="table-cell"/>
  <style:style style:name="half" style:family="table-cell" style:data-style-name="fraction"/>
  <style:style style:name="german" style:family="table-cell" style:data-style-name="comma"/>
 </office:automatic-styles>
 <office:body><office:spreadsheet>
  <table:table table:name="J1 upwind">{''.join(settings(style))}</table:table>
  <table:table table:name="workings">{''.join(WORKINGS)}</table:table>
 </office:spreadsheet></office:body>
</office:document>
"""


# Separator, quotes, UTF-8, first line, all columns as shown, German.
GERMAN = "csv:Text - txt - csv (StarCalc):59,34,76,1,,1031,false,true"


def convert(source, folder, form):
    subprocess.run(["soffice", "--headless", "--convert-to", form, "--outdir", folder, source], check=True)


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        source = folder / f"{NAME}.fods"
        for style, form in [("half", "xlsx"), ("german", GERMAN)]:
            source.write_text(book(style), encoding="utf-8")
            convert(source, folder, form)
        (HERE / f"{NAME}.xlsx").write_bytes((folder / f"{NAME}.xlsx").read_bytes())
        (HERE / f"{NAME}_de.csv").write_bytes((folder / f"{NAME}.csv").read_bytes())
    version = subprocess.run(["soffice", "--version"], capture_output=True, text=True, check=True).stdout.strip()
    (HERE / f"{NAME}.json").write_text(json.dumps({"version": version}, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
