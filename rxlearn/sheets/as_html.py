"""A sheet as one HTML page that prints well: nothing is fetched, every text is escaped."""

from __future__ import annotations

import re
from html import escape
from itertools import count

from rxlearn.sheets.dial_page import dial_svg
from rxlearn.sheets.pages import (
    HOLD,
    NOT_HERE,
    TURNED,
    UNFINISHED,
    Block,
    Heading,
    Paragraph,
    Picture,
    Scale,
    Sheet,
    Steps,
    Table,
    Warned,
    is_turned,
)

LONG, SHORT = 20, 8
"""A word of more letters than that may be torn; a table of at most so many rows is not."""

# No size of paper: whoever prints it has A4 or Letter.
_STYLE = """
@page { margin: 14mm; }
body { font: 10.5pt/1.4 "DejaVu Sans", Verdana, sans-serif; color: #000; background: #fff;
  max-width: 182mm; margin: 0 auto; padding: 4mm; }
h1 { font-size: 17pt; margin: 0 0 2mm; } h2 { font-size: 13pt; margin: 7mm 0 2mm;
  break-after: avoid; border-bottom: 0.3mm solid #000; }
table { border-collapse: collapse; width: 100%; margin: 2mm 0 4mm; font-size: 9.5pt; }
caption { text-align: left; font-weight: bold; padding: 1mm 0; break-after: avoid; }
th, td { border: 0.2mm solid #777; padding: 0.8mm 1.6mm; text-align: left; vertical-align: top;
  white-space: pre-line; hyphens: manual; }
.long, caption, h1, h2, p, li { overflow-wrap: anywhere; }
thead { display: table-header-group; break-inside: avoid; break-after: avoid; }
tr, .picture, .short { break-inside: avoid; } p { orphans: 3; widows: 3; }
tbody tr:first-child { break-after: avoid; } tbody tr:last-child { break-before: avoid; }
.before { break-after: avoid; }
.caution, .unfinished { border: 0.6mm solid #000; padding: 1.5mm 3mm; margin: 2mm 0;
  break-inside: avoid; }
.unfinished { border-style: double; border-width: 1.2mm; }
.steps td:first-child { width: 5mm; text-align: center; font-size: 13pt; }
.steps td:nth-child(4) { width: 32mm; }
.hold { font-weight: bold; }
.picture svg { width: 100%; height: auto; }
@page turned { size: landscape; margin: 14mm; }
@media screen { .turned { max-width: 100%; overflow-x: auto; } .turned svg { width: {TURNED}mm; } }
@media print { .turned, .turned + table, .heads { page: turned; }
  .turned, .heads { break-before: page; } .heads + .turned { break-before: avoid; } }
.scale { break-before: page; } .scale svg { display: block; }
@media print { body { padding: 0; max-width: none; } }
""".replace("{TURNED}", f"{TURNED:.1f}")


def as_html(sheet: Sheet) -> str:
    """The whole page as text."""
    numbers = count()
    following = [*sheet.blocks[1:], None]
    body = "\n".join(_written(block, next(numbers), after)
                     for block, after in zip(sheet.blocks, following, strict=True))
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" '
        f"content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(sheet.title)}</title><style>{_STYLE}</style></head>\n<body>"
        f"<h1>{escape(sheet.title)}</h1>\n{_missing(sheet)}{body}\n</body></html>\n"
    )


def _missing(sheet: Sheet) -> str:
    if not sheet.unfinished:
        return ""
    items = "".join(f"<li>{escape(item)}</li>" for item in sheet.missing)
    return (f'<div class="unfinished"><p><strong>{escape(UNFINISHED)}</strong></p>'
            f"<p>{escape(NOT_HERE)}:</p><ul>{items}</ul></div>\n")


def _written(block: Block, number: int, following: Block | None) -> str:
    match block:
        case Heading():
            turned = ' class="heads"' if is_turned(following) else ""
            return f"<h2{turned}>{escape(block.text)}</h2>"
        case Paragraph():
            words = escape(block.text)
            # Words before a table say what it is.
            tied = ' class="before"' if isinstance(following, Table | Steps) else ""
            return f"<p{tied}>{f'<strong>{words}</strong>' if block.strong else words}</p>"
        case Table():
            return _table(block)
        case Warned():
            caution = block.caution
            return (f'<div class="caution"><strong>⚠ Caution: {escape(caution.title)}.</strong> '
                    f"{escape(caution.short)}</div>")
        case Steps():
            return _steps(block)
        case Picture():
            return _picture(block, number)
        case Scale():
            return f'<div class="scale">{dial_svg(block.dial, block.says)}</div>'


def _table(block: Table) -> str:
    total = sum(block.widths)
    columns = "".join(f'<col style="width:{100 * w / total:.1f}%">' for w in block.widths)
    head = "".join(f'<th scope="col"{_torn(cell)}>{escape(cell)}</th>' for cell in block.head)
    rows = "".join(
        "<tr>" + "".join(f"<td{_torn(cell)}>{escape(cell)}</td>" for cell in row) + "</tr>"
        for row in block.rows
    )
    short = ' class="short"' if len(block.rows) <= SHORT else ""
    return (f"<table{short}><caption>{escape(block.caption)}</caption><colgroup>{columns}</colgroup>"
            f"<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>")


def _torn(cell: str) -> str:
    """The mark of a cell with a word so long that it must be torn, else nothing."""
    return ' class="long"' if any(len(word) > LONG for word in cell.split()) else ""


def _steps(block: Steps) -> str:
    rows = []
    for step in block.steps:
        hold = f'<br><span class="hold">{escape(HOLD)}</span>' if step.hold else ""
        rows.append(f"<tr><td>☐</td><td{_torn(step.text)}>{escape(step.text)}{hold}</td>"
                    f"<td>{escape(step.expected)}</td><td></td></tr>")
    return (f'<table class="steps"><caption>{escape(block.caption)}</caption><thead><tr>'
            f'<th scope="col">done</th><th scope="col">what to do</th>'
            f'<th scope="col">expected</th><th scope="col">measured</th></tr></thead>'
            f"<tbody>{''.join(rows)}</tbody></table>")


def _picture(block: Picture, number: int) -> str:
    """The drawing, its ids made its own: two drawings on one page must not share them."""
    drawing = block.svg[block.svg.index("<svg"):]
    drawing = re.sub(r'(\bid="|href="#|url\(#)', rf"\g<1>p{number}-", drawing)
    turned = " turned" if block.turned else ""
    return (f'<div class="picture{turned}" role="img" aria-label="{escape(block.says)}" '
            f'style="width:{block.width:.1f}mm">{drawing}</div>')
