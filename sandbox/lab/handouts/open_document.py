"""The handout as a text to be edited: OpenDocument (ISO/IEC 26300), which word processors open.

Its headings, lists and tables have the styles that a word processor offers for them, so that a
teacher changes all of a kind at once; places to write on are ruled by tab stops and cell borders.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence

from odfdo import Cell as TableCell
from odfdo import Document, Element, Frame, Header, List, ListItem, Paragraph, Span, Table
from odfdo import Row as TableRow
from odfdo.header_rows import HeaderRows

from sandbox.lab.handouts.handout import (
    MARGIN,
    PAPERS,
    SUBSCRIPT,
    TRIALS,
    Figure,
    HandoutText,
    PaperSize,
    PredictionBox,
)
from sandbox.lab.handouts.phrases import Phrases

BOX = "☐"
"""To be ticked."""
QUESTION_LINES = 2
LOCALES = {"en": "en-GB", "es": "es-ES"}
"""By which a word processor checks the spelling."""
_INK = "#14181f"
_STYLES = f"""
<style:style style:name="Standard" style:family="paragraph" style:class="text">
 <style:paragraph-properties fo:margin-bottom="1mm" fo:line-height="112%" fo:orphans="2"
  fo:widows="2"/>
 <style:text-properties style:font-name="Liberation Sans" fo:font-family="Arial"
  fo:font-size="12pt" fo:color="{_INK}"/></style:style>
<style:style style:name="Heading_20_1" style:display-name="Heading 1" style:family="paragraph"
 style:parent-style-name="Standard" style:next-style-name="Text_20_body"
 style:default-outline-level="1" style:class="chapter">
 <style:paragraph-properties fo:margin-top="0mm" fo:margin-bottom="2mm" fo:keep-with-next="always"/>
 <style:text-properties fo:font-size="17pt" fo:font-weight="bold"/></style:style>
<style:style style:name="Heading_20_2" style:display-name="Heading 2" style:family="paragraph"
 style:parent-style-name="Standard" style:next-style-name="Text_20_body"
 style:default-outline-level="2" style:class="chapter">
 <style:paragraph-properties fo:margin-top="4mm" fo:margin-bottom="1.5mm"
  fo:keep-with-next="always" fo:border-bottom="0.3mm solid {_INK}"/>
 <style:text-properties fo:font-size="13pt" fo:font-weight="bold"/></style:style>
<style:style style:name="Heading_20_3" style:display-name="Heading 3" style:family="paragraph"
 style:parent-style-name="Standard" style:next-style-name="Text_20_body"
 style:default-outline-level="3" style:class="chapter">
 <style:paragraph-properties fo:margin-top="3mm" fo:margin-bottom="1mm" fo:keep-with-next="always"/>
 <style:text-properties fo:font-size="12pt" fo:font-weight="bold"/></style:style>
<style:style style:name="Strong" style:family="text">
 <style:text-properties fo:font-weight="bold"/></style:style>
<style:style style:name="Low" style:family="text">
 <style:text-properties style:text-position="sub 70%"/></style:style>
<style:style style:name="Asked" style:family="paragraph" style:parent-style-name="Text_20_body">
 <style:paragraph-properties fo:margin-top="2mm" fo:margin-bottom="0mm" fo:keep-with-next="always"/>
 <style:text-properties fo:font-weight="bold"/></style:style>
<style:style style:name="Told" style:family="paragraph" style:parent-style-name="Text_20_body">
 <style:paragraph-properties fo:margin-bottom="0mm" fo:keep-with-next="always"/></style:style>
<style:style style:name="Figure" style:family="paragraph" style:parent-style-name="Standard">
 <style:paragraph-properties fo:text-align="center" fo:keep-with-next="always"/></style:style>
<style:style style:name="Caption" style:family="paragraph" style:parent-style-name="Standard"
 style:class="extra">
 <style:text-properties fo:font-size="11pt" fo:font-style="italic"/></style:style>
<style:style style:name="Point" style:family="paragraph" style:parent-style-name="Text_20_body">
 <style:paragraph-properties fo:margin-bottom="0.5mm"/></style:style>
<style:style style:name="Worked" style:family="paragraph" style:parent-style-name="Text_20_body">
 <style:paragraph-properties fo:margin-left="6mm" fo:margin-bottom="2mm"/></style:style>
<style:style style:name="Cell" style:family="paragraph" style:parent-style-name="Standard">
 <style:paragraph-properties fo:margin-bottom="0mm"/>
 <style:text-properties fo:font-size="11pt"/></style:style>
<style:style style:name="Cell_20_heading" style:display-name="Cell heading"
 style:family="paragraph" style:parent-style-name="Cell">
 <style:text-properties fo:font-weight="bold"/></style:style>
"""
_POINTS = """
<text:list-style style:name="Points"><text:list-level-style-bullet text:level="1"
 text:bullet-char="•"><style:list-level-properties
 text:list-level-position-and-space-mode="label-alignment"><style:list-level-label-alignment
 text:label-followed-by="listtab" fo:text-indent="-4mm" fo:margin-left="4mm"/>
</style:list-level-properties></text:list-level-style-bullet></text:list-style>
"""
_RULED = """
<style:style style:name="{name}" style:family="paragraph" style:parent-style-name="Text_20_body">
 <style:paragraph-properties fo:margin-bottom="0mm" fo:line-height="8mm" fo:keep-with-next="{keep}">
  <style:tab-stops>{stops}</style:tab-stops></style:paragraph-properties></style:style>
"""
_STOP = '<style:tab-stop style:position="{at:g}mm" style:leader-style="solid"/>'
_FRAMED = """
<style:style style:name="framed" style:family="table-cell">
 <style:table-cell-properties fo:border="0.25mm solid #59616b" fo:padding="1mm"
  style:vertical-align="top"/></style:style>
"""
_WIDE = """
<style:style style:name="{name}" style:family="table-column">
 <style:table-column-properties style:column-width="{width:g}mm"/></style:style>
"""
_WHOLE = """
<style:style style:name="whole" style:family="table">
 <style:table-properties table:border-model="collapsing" style:may-break-between-rows="false"/>
</style:style>
"""
_HIGH = """
<style:style style:name="high" style:family="table-row">
 <style:table-row-properties style:min-row-height="8mm" fo:keep-together="always"/></style:style>
"""


def open_document(
    sheet: HandoutText, drawing: Figure, *, key: bool = False, paper: PaperSize = "a4"
) -> bytes:
    """The handout or its key as an OpenDocument text, .odt. The drawing is a PNG."""
    phrases = Phrases(sheet.display)
    pages = _Pages(sheet.title(key), paper, sheet.display.language)
    pages.heading(1, sheet.title(key))
    if not key:
        fields = (phrases.name, phrases.school_class, phrases.date)
        pages.ruled("\t ".join((*fields, "")).rstrip(" "), (0.5, 0.75, 1.0))
    pages.figure(drawing, sheet.caption(key))
    (_write_key if key else _write_sheet)(pages, sheet, phrases)
    return pages.written()


def _write_sheet(pages: _Pages, sheet: HandoutText, phrases: Phrases) -> None:
    pages.heading(2, phrases.apparatus)
    pages.listed(sheet.apparatus)
    pages.heading(2, phrases.care)
    pages.listed(sheet.cautions)
    pages.heading(2, phrases.predict)
    for number, prediction in enumerate(sheet.predictions, 1):
        _ask_for(pages, number, prediction, phrases)
    pages.heading(2, phrases.measure)
    pages.paragraph(sheet.task, "Told")
    headings = [phrases.trial, *(f"{each.heading}\n{each.note}" for each in sheet.columns)]
    blank = ("",) * len(sheet.columns)
    rows = [(str(number), *blank) for number in range(1, TRIALS + 1)]
    pages.table(headings, rows, (0.5, *(1.0 for _ in sheet.columns)))
    pages.heading(2, phrases.calculate)
    pages.table(
        phrases.calculation_columns,
        [(row.what, row.how, "", row.unit or "–") for row in sheet.calculations],
        (4.0, 5.0, 3.5, 1.0),
    )
    pages.heading(2, phrases.questions)
    for number, question in enumerate(sheet.questions, 1):
        pages.paragraph(f"{number}. {question.text}", "Asked")
        for line in range(1, QUESTION_LINES + 1):
            pages.ruled("\t", (1.0,), keep=line < QUESTION_LINES)


def _ask_for(pages: _Pages, number: int, prediction: PredictionBox, phrases: Phrases) -> None:
    pages.paragraph(f"{number}. {prediction.about}", "Asked")
    units = "   ".join(f"{BOX} {choice}" for choice in prediction.choices)
    pages.ruled(f"{phrases.i_predict}\t  {phrases.unit}  {units}", (0.4,), keep=True)
    pages.ruled(f"{phrases.because}\t", (1.0,))


def _write_key(pages: _Pages, sheet: HandoutText, phrases: Phrases) -> None:
    pages.heading(2, phrases.watch)
    pages.paragraph(sheet.watch)
    pages.heading(2, phrases.predictions)
    answers = [(each.about, each.answer) for each in sheet.predictions]
    pages.table(phrases.answer_columns, answers, (4.0, 1.0))
    pages.heading(2, phrases.working)
    pages.paragraph(phrases.working_note)
    working = sheet.working
    for number, step in enumerate(working.steps):
        if number in working.headings:
            pages.heading(3, working.headings[number])
        numbers = f" = {step.numbers}" if step.numbers != step.result else ""
        pages.formula(f"{number + 1}. {step.about}", style="Told")
        pages.formula(f"{step.symbol} = {step.formula}", f"{numbers} = ", step.result)
    if sheet.unworked:
        pages.paragraph(phrases.unworked(sheet.unworked))
    pages.heading(2, phrases.answers)
    for number, question in enumerate(sheet.questions, 1):
        pages.paragraph(f"{number}. {question.text}", "Told")
        pages.formula("", "", question.answer)


class _Pages:
    """A text being written, from the top."""

    def __init__(self, title: str, paper: PaperSize, language: str) -> None:
        self._document = Document("text")
        self._document.meta.title = title
        self._document.language = LOCALES[language]
        self._body = self._document.body
        self._body.clear()
        _, across, high = PAPERS[paper]
        self._width = across - 2 * MARGIN
        self._known: set[str] = set()
        for style in re.findall(r"<style:style.*?</style:style>", _STYLES, re.DOTALL):
            self._document.insert_style(style.strip())
        self._document.insert_style(_POINTS.strip())
        for style in (_FRAMED, _HIGH, _WHOLE):
            self._document.insert_style(style.strip(), automatic=True)
        outline = self._document.styles.get_element("//text:outline-style")
        assert isinstance(outline, Element)
        for level in outline.children:
            for name in ("num-format", "num-suffix"):
                level.set_attribute(f"style:{name}", "")
            level.del_attribute("loext:num-list-format")
        layout = self._document.get_style("page-layout", "Mpm1")
        page = layout and layout.get_element("style:page-layout-properties")
        assert isinstance(page, Element)
        page.set_attribute("fo:page-width", f"{across:g}mm")
        page.set_attribute("fo:page-height", f"{high:g}mm")
        for side in ("top", "bottom", "left", "right"):
            page.set_attribute(f"fo:margin-{side}", f"{MARGIN:g}mm")

    def heading(self, level: int, text: str) -> None:
        """A heading of the first to third level."""
        self._body.append(
            Header(
                level,
                text,
                style=f"Heading_20_{level}",
                formatted=False,
            )
        )

    def paragraph(self, text: str, style: str = "Text_20_body") -> None:
        """A paragraph."""
        self._body.append(Paragraph(text, style=style, formatted=False))

    def formula(self, text: str, more: str = "", result: str = "", style: str = "Worked") -> None:
        """A paragraph: subscripts of one-letter symbols stand low, the result is strong."""
        paragraph = Paragraph(style=style)
        for number, piece in enumerate(re.split(SUBSCRIPT, text)):
            # What was matched comes as symbol and subscript between what was not.
            if number % 3 == 2:
                paragraph.append(Span(piece, style="Low", formatted=False))
            else:
                paragraph.append_plain_text(piece)
        paragraph.append_plain_text(more)
        if result:
            paragraph.append(Span(result, style="Strong", formatted=False))
        self._body.append(paragraph)

    def ruled(self, text: str, stops: Sequence[float], keep: bool = False) -> None:
        """A line to write on: each tab is ruled to its stop, a share of the page's width; kept on
        the page of what follows where that is said."""
        name = "Ruled_20_" + "_20_".join(f"{100 * stop:.0f}" for stop in stops) + "_20_kept" * keep
        at = "".join(_STOP.format(at=stop * self._width) for stop in stops)
        style = _RULED.format(name=name, stops=at, keep="always" if keep else "auto")
        self._add(name, style, automatic=False)
        self._body.append(Paragraph(text, style=name, formatted=True))

    def listed(self, items: Iterable[str]) -> None:
        """A list."""
        found = List(style="Points")
        for item in items:
            entry = ListItem()
            entry.append(Paragraph(item, style="Point", formatted=False))
            found.append(entry)
        self._body.append(found)

    def figure(self, drawing: Figure, caption: str) -> None:
        """The drawing with its caption."""
        assert isinstance(drawing.picture, bytes)
        width = drawing.size(self._width)
        height = width * drawing.height / drawing.width
        where = self._document.add_file(io.BytesIO(drawing.picture))
        frame = Frame.image_frame(
            where, name="machine", size=(f"{width:.1f}mm", f"{height:.1f}mm"), anchor_type="as-char"
        )
        frame.svg_description = drawing.description
        paragraph = Paragraph(style="Figure")
        paragraph.append(frame)
        self._body.append(paragraph)
        self._body.append(Paragraph(caption, style="Caption", formatted=False))

    def table(
        self, headings: Sequence[str], rows: Iterable[Sequence[str]], shares: Sequence[float]
    ) -> None:
        """A table with a heading that comes again on each page; columns share the page's width."""
        table = Table(f"table {len(self._body.tables) + 1}", style="whole")
        for share in shares:
            width = share / sum(shares) * self._width
            name = f"wide{width:.1f}".replace(".", "_")
            self._add(name, _WIDE.format(name=name, width=width), automatic=True)
            table.append(Element.from_tag(f'<table:table-column table:style-name="{name}"/>'))
        head = HeaderRows()
        head.append(_row(headings, "Cell_20_heading"))
        table.append(head)
        for row in rows:
            table.append(_row(row, "Cell"))
        self._body.append(table)

    def _add(self, name: str, style: str, automatic: bool) -> None:
        if name not in self._known:
            self._known.add(name)
            self._document.insert_style(style.strip(), automatic=automatic)

    def written(self) -> bytes:
        """The file."""
        found = io.BytesIO()
        self._document.save(found)
        return found.getvalue()


def _row(texts: Iterable[str], style: str) -> TableRow:
    row = TableRow(style="high")
    for text in texts:
        cell = TableCell(style="framed")
        cell.clear()
        cell.set_attribute("table:style-name", "framed")
        for line in text.split("\n"):
            cell.append(Paragraph(line, style=style, formatted=False))
        row.append(cell)
    return row
