"""The page of the strip or of the table by typst: with_typst.py strip|table CONTENT.json FONTS OUT.pdf"""

import sys
from pathlib import Path

import typst

kind, content, fonts, out = sys.argv[1:]
here = Path(__file__).parent
typst.compile(
    here / "card.typ",
    output=out,
    root=here,
    font_paths=[fonts],
    ignore_system_fonts=True,
    sys_inputs={"content": Path(content).name, "kind": kind},
)
