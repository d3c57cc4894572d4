"""The handout to be edited, an OpenDocument text."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest
from lxml import etree
from typer.testing import CliRunner

from sandbox.cli import app
from sandbox.lab.handouts import handout
from sandbox.lab.handouts.open_document import open_document
from sandbox.painting.handout_figure import handout_figure
from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.browsers import needed

TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
DESCRIPTION = "{urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0}desc"
NAMES = ("four_part_tackle", "sled_let_slide")


def written(tmp_path: Path, name: str, *words: str) -> Path:
    """What the command writes."""
    out = tmp_path / f"{name}{''.join(words)}.odt"
    result = CliRunner().invoke(app, ["sheet", name, "--out", str(out), *words])
    assert result.exit_code == 0, result.output
    return out


def told(odt: bytes) -> str:
    """All the text on its pages, a line for each paragraph."""
    content = zipfile.ZipFile(io.BytesIO(odt)).read("content.xml")
    found = etree.fromstring(content, etree.XMLParser(resolve_entities=False))
    etree.strip_elements(found, DESCRIPTION, with_tail=False)
    # A run of spaces is an element.
    for space in found.iter(f"{TEXT}s"):
        space.text = " " * int(space.get(f"{TEXT}c", "1"))
    return "\n".join("".join(each.itertext()) for each in found.iter(f"{TEXT}p", f"{TEXT}h"))


@pytest.mark.parametrize("name", NAMES)
def test_it_says_what_the_page_says(name: str, tmp_path: Path):
    """The student's text has apparatus, cautions, predictions, table, calculations and questions,
    and no answer; the key has every answer and every worked line."""
    composed = handout.compose(load(find_scene(name)))
    sheet = told(written(tmp_path, name).read_bytes())
    key = told(written(tmp_path, name, "--key").read_bytes())
    given = [*composed.apparatus, *composed.cautions, composed.task]
    given += [each.about for each in composed.predictions]
    given += [each.heading for each in composed.columns]
    given += [each.how for each in composed.calculations]
    given += [each.text for each in composed.questions]
    assert [text for text in given if text not in sheet] == []
    answers = [each.answer for each in (*composed.predictions, *composed.questions)]
    assert not [answer for answer in answers if len(answer) > 3 and answer in sheet]
    assert composed.scene.about.watch not in sheet
    assert [text for text in answers if text not in key] == []
    plain = key.replace("_", "")
    for step in composed.working.steps:
        assert f"{step.symbol} = {step.formula}".replace("_", "") in plain


def test_what_a_scene_says_stays_text():
    """A title that looks like markup is shown, not obeyed."""
    hostile = '</text:h><script>&amp; "x"'
    machine = load(find_scene("two_part_tackle"), {"scene.title": hostile})
    figure = handout_figure(machine, False, lambda _: None, as_png=True)
    assert told(open_document(handout.compose(machine), figure)).startswith(hostile)


def test_a_word_processor_opens_it(tmp_path: Path):
    """LibreOffice lays student's text and key out on pages of the paper, with all of its text and
    its picture, in the fewest pages that 12 pt and lines to write on take."""
    writer = shutil.which("soffice")
    needed(None if writer else "no LibreOffice")
    assert writer
    files = [written(tmp_path, "four_part_tackle", *words) for words in ((), ("--key",))]
    for form in ("txt:Text (encoded):UTF8", "pdf"):
        home = f"-env:UserInstallation={(tmp_path / 'home').as_uri()}"
        command = [writer, home, "--headless", "--convert-to", form, "--outdir", str(tmp_path)]
        done = subprocess.run([*command, *map(str, files)], capture_output=True, timeout=120)
        assert done.returncode == 0, done.stderr
    for file in files:
        seen = file.with_suffix(".txt").read_text(encoding="utf-8-sig")
        kept = "".join(seen.split())
        for line in told(file.read_bytes()).splitlines():
            assert "".join(line.split()) in kept
        pdf = file.with_suffix(".pdf").read_bytes()
        assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 3
        assert re.search(rb"/MediaBox\s*\[0 0 59[45]\.\d+ 84[12]\.\d+\]", pdf)
        assert b"/Subtype/Image" in pdf
