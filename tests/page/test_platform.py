"""The page in a learning platform, by the ADL SCORM 1.2 Run-Time Environment and Content
Aggregation Model (2001): against another's run-time, whose calls are held to the strict rules."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner

from sandbox import page as pages
from sandbox.cli import app
from sandbox.lab.class_work import deal, record
from sandbox.page.package import package_of
from sandbox.shipped import find_scene
from tests.browsers import needed
from tests.places import ROOT
from tests.students import (
    GUESSES,
    Made,
    download,
    opened,
    predict,
    read_by_eye,
    write_down,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Frame, Page, Route

CP = "{http://www.imsproject.org/xsd/imscp_rootv1p1p2}"
ADLCP = "{http://www.adlnet.org/xsd/adlcp_rootv1p2}"
RUN_TIME = ROOT / ".node" / "node_modules" / "scorm-again" / "dist" / "scorm12.min.js"
LEARNER = {"student_id": "pupil-17", "student_name": "A, Student"}
UNITS = {"balance.reading": "N", "hand.travel": "cm", "bag.rise": "cm"}


# The package.


def test_a_package_has_the_structure_that_the_standard_asks(tmp_path: Path) -> None:
    """The ZIP has imsmanifest.xml at its root: well-formed, in the namespaces of IMS Content
    Packaging 1.1.2 and of ADL's 1.2, with one organization, one item and one resource, a SCO, whose
    page is in the ZIP; and is the same bytes when made again."""
    out = tmp_path / "whip.zip"
    arguments = ["page", "fixed_sheave", "--vary", "none", "--package", "scorm"]
    done = CliRunner().invoke(app, [*arguments, "--mastery", "80", "--out", str(out)])
    assert done.exit_code == 0, done.output
    with zipfile.ZipFile(out) as packed:
        assert packed.testzip() is None
        names = packed.namelist()
        top = ElementTree.fromstring(packed.read("imsmanifest.xml"))
        (item,) = top.iter(f"{CP}item")
        (resource,) = top.iter(f"{CP}resource")
        page = packed.read(resource.attrib["href"]).decode()
    assert top.tag == f"{CP}manifest"
    assert [child.tag for child in top] == [
        f"{CP}{tag}" for tag in ("metadata", "organizations", "resources")
    ]
    assert top.findtext(f"{CP}metadata/{CP}schema") == "ADL SCORM"
    assert top.findtext(f"{CP}metadata/{CP}schemaversion") == "1.2"
    (organization,) = top.iter(f"{CP}organization")
    organizations = top.find(f"{CP}organizations")
    assert organizations is not None
    assert organizations.attrib == {"default": organization.attrib["identifier"]}
    assert organization.findtext(f"{CP}title") == item.findtext(f"{CP}title")
    assert item.attrib["identifierref"] == resource.attrib["identifier"]
    assert [child.tag for child in item] == [f"{CP}title", f"{ADLCP}masteryscore"]
    assert item.findtext(f"{ADLCP}masteryscore") == "80"
    assert resource.attrib["type"] == "webcontent"
    assert resource.attrib[f"{ADLCP}scormtype"] == "sco"
    files = [file.attrib["href"] for file in resource.iter(f"{CP}file")]
    assert sorted(["imsmanifest.xml", *files]) == sorted(names) and len(files) == 1
    identifiers = [e.attrib["identifier"] for e in top.iter() if "identifier" in e.attrib]
    assert len(set(identifiers)) == len(identifiers) == 4
    assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", name) for name in identifiers)  # an XML ID
    assert package_of(page, "x") == package_of(page, "x")
    spiteful = package_of(page, "<item> & ]]>", None)
    with zipfile.ZipFile(io.BytesIO(spiteful)) as packed:
        told = ElementTree.fromstring(packed.read("imsmanifest.xml"))
    (item,) = told.iter(f"{CP}item")
    assert item.findtext(f"{CP}title") == "<item> & ]]>"
    assert [child.tag for child in item] == [f"{CP}title"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ("--package aicc --out a.zip", "allowed: --package scorm"),
        ("--package scorm --out a.html", "ends in .zip"),
        ("--package scorm --mastery 101 --out a.zip", "0 to 100"),
        ("--mastery 80 --out a.html", "with --package scorm"),
        ("--package scorm --live --alone --out a.zip", "with a student's bench"),
    ],
)
def test_what_makes_no_package_is_refused(options: str, said: str) -> None:
    """A form, a name, points or a sheet that make no package end with exit code 2 and a message."""
    done = CliRunner().invoke(app, ["page", "fixed_sheave", *options.split()])
    assert done.exit_code == 2 and said in done.stderr


# In a platform.


@pytest.fixture(scope="module")
def whip() -> tuple[Made, bytes]:
    """A whip for anybody, of which nothing is varied, and its package."""
    needed(None if RUN_TIME.exists() else "no scorm-again: npm install --prefix .node scorm-again")
    bench = deal.open_file(find_scene("fixed_sheave"))
    grid = pages.grid_for(bench, [])
    made = Made(Path(), bench, grid)
    return made, package_of(pages.page_of(bench, grid), bench.scene.about.title)


HOST = """<!doctype html><title>platform</title><script src="run-time.js"></script><script>
const given = %s, calls = [];
const api = new Scorm12API({ autocommit: false, logLevel: 5 });
api.loadFromJSON(given);
window.API = {};
for (const name of ["LMSInitialize", "LMSFinish", "LMSGetValue", "LMSSetValue", "LMSCommit",
  "LMSGetLastError", "LMSGetErrorString", "LMSGetDiagnostic"]) {
  window.API[name] = (...said) => {
    const answer = String(api[name](...said));
    calls.push([name, said, answer, String(api.LMSGetLastError())]);
    return answer;
  };
}
</script><iframe src="course.html" style="width:100%%;height:900px;border:0"></iframe>
<button onclick="window.open('bench.html')">In a window of its own</button>"""
COURSE = '<!doctype html><iframe id="sco" src="%s" style="width:100%%;height:880px"></iframe>'


class Session:
    """One launch of a package in a platform that knows a learner, two frames below its API."""

    def __init__(self, context: BrowserContext, package: bytes, given: dict[str, Any]) -> None:
        with zipfile.ZipFile(io.BytesIO(package)) as packed:
            content = {name: packed.read(name).decode() for name in packed.namelist()}
        manifest = ElementTree.fromstring(content["imsmanifest.xml"])
        (resource,) = manifest.iter(f"{CP}resource")
        content["host.html"] = HOST % json.dumps(given)
        content["course.html"] = COURSE % resource.attrib["href"]
        content["run-time.js"] = RUN_TIME.read_text("utf-8")

        def answer(route: Route) -> None:
            name = route.request.url.rpartition("/")[2]
            kind = "text/javascript" if name.endswith(".js") else "text/html"
            route.fulfill(body=content.get(name, ""), content_type=f"{kind}; charset=utf-8")

        self.page = context.new_page()
        self.page.set_default_timeout(30_000)
        context.route("https://platform.test/**", answer)
        self.page.goto("https://platform.test/host.html")
        self.frame.locator(".status").wait_for()

    @property
    def frame(self) -> Frame:
        (found,) = (each for each in self.page.frames if each.url.endswith("bench.html"))
        return found

    @property
    def student(self) -> Any:
        """The frame, for what students do on a page."""
        return _AsPage(self.frame, self.page)

    def value(self, element: str) -> str:
        found: str = self.page.evaluate(
            "(path) => path.split('.').reduce((at, name) => at[name], api.renderCMIToJSONObject())",
            element,
        )
        return found

    def left(self, close: bool = True) -> dict[str, Any]:
        """Leave the page, hold all that was said to the standard, and give what is kept."""
        frame = self.page.frames[1]
        frame.locator("iframe").evaluate("(frame) => { frame.src = 'about:blank'; }")
        self.page.wait_for_function("calls.at(-1)[0] === 'LMSFinish'")
        hold_to_the_standard(self.page.evaluate("calls"))
        kept: dict[str, Any] = self.page.evaluate("api.renderCMIToJSONObject().cmi")
        if close:
            self.page.close()
        # What a platform gives at the next launch, as it does.
        core = kept["core"] | LEARNER
        core = {name: core[name] for name in ("student_id", "student_name", "lesson_status")}
        return {"core": core, "suspend_data": kept["suspend_data"], "all": kept}


class _AsPage:
    """A frame with the keyboard and the downloads of its page."""

    def __init__(self, frame: Frame, page: Page) -> None:
        self._frame, self._page = frame, page

    def __getattr__(self, name: str) -> Any:
        return getattr(self._frame if hasattr(self._frame, name) else self._page, name)


DECIMAL = r"-?\d+(\.\d+)?"
RULES = {
    r"cmi\.suspend_data": r"[\x20-\x7e]{0,4096}",
    r"cmi\.core\.lesson_status": "passed|completed|failed|incomplete|browsed",
    r"cmi\.core\.exit": "time-out|suspend|logout|",
    r"cmi\.core\.session_time": r"\d{2,4}:[0-5]\d:[0-5]\d(\.\d{1,2})?",
    r"cmi\.core\.score\.(raw|min|max)": r"100|\d{1,2}(\.\d+)?",
    r"cmi\.interactions\.\d+\.id": r"\w{1,255}",
    r"cmi\.interactions\.\d+\.type": (
        "true-false|choice|fill-in|matching|performance|sequencing|likert|numeric"
    ),
    r"cmi\.interactions\.\d+\.time": r"([01]\d|2[0-3]):[0-5]\d:[0-5]\d(\.\d{1,2})?",
    r"cmi\.interactions\.\d+\.student_response": r".{0,255}",
    r"cmi\.interactions\.\d+\.result": rf"correct|wrong|unanticipated|neutral|{DECIMAL}",
}
"""What a SCO may set of what this one does, and to what: RTE 3.4, its data types in 3.4.2."""


def hold_to_the_standard(calls: list[tuple[str, list[str], str, str]]) -> None:
    """Assert of all calls of a session that they are what the RTE asks, and that none failed."""
    names = [name for name, *_ in calls]
    assert names[0] == "LMSInitialize" and names.count("LMSInitialize") == 1
    assert names[-1] == "LMSFinish" and names.count("LMSFinish") == 1
    assert names[-2] == "LMSCommit"
    kinds: dict[str, str] = {}
    order: list[int] = []
    for name, said, answer, error in calls:
        if name in ("LMSInitialize", "LMSCommit", "LMSFinish"):
            assert (said, answer, error) == ([""], "true", "0")
        elif name == "LMSGetValue":
            assert error == "0", said
        elif name == "LMSSetValue":
            element, value = said
            assert (answer, error) == ("true", "0"), said
            (rule,) = [rule for known, rule in RULES.items() if re.fullmatch(known, element)]
            assert re.fullmatch(rule, value, re.ASCII), said
            if match := re.fullmatch(r"cmi\.interactions\.(\d+)\.(\w+)", element):
                if match[2] == "id":
                    order.append(int(match[1]))
                elif match[2] == "type":
                    kinds[match[1]] = value
                elif match[2] == "student_response" and kinds[match[1]] == "numeric":
                    assert re.fullmatch(DECIMAL, value), said
    assert order == list(range(order[0], order[0] + len(order))) if order else True


def test_work_begun_in_a_platform_goes_on_elsewhere(
    browser: Browser, whip: tuple[Made, bytes], tmp_path: Path
) -> None:
    """A learner predicts, reads and leaves; launched on another device the page goes on where the
    work stood, without asking who it is; finished, the platform has status, points, time and every
    answer as a number, and the record is whole to the byte."""
    made, package = whip
    one = browser.new_context(reduced_motion="reduce", accept_downloads=True)
    session = Session(one, package, {"cmi": {"core": LEARNER}})
    student = session.student
    assert "knows you as A, Student" in session.frame.locator("header").inner_text()
    assert "saved in your learning platform as you go" in student.locator(".status").inner_text()
    assert session.value("cmi.core.lesson_status") == "incomplete"
    predict(student, GUESSES, "weil ½ der Kraft 学 genügt")
    session.frame.get_by_role("button", name="Take trial 1").click()
    session.frame.locator(".trial h3").wait_for()
    write_down(student, "hand.travel", read_by_eye(student, made, "hand.travel", "cm"))
    assert "Saved in your learning platform: 5 entries" in student.locator(".status").inner_text()
    before = download(student, tmp_path / "one").read_bytes()
    assert session.value("cmi.core.score.raw") == "57"  # 3 predictions and 1 reading, of 7 things
    kept = session.left()
    one.close()

    two = browser.new_context(reduced_motion="reduce", accept_downloads=True)
    given = {"cmi": {"core": kept["core"], "suspend_data": kept["suspend_data"]}}
    session = Session(two, package, given)
    student = session.student
    session.frame.locator(".instrument .committed").wait_for()
    assert session.frame.locator(".prediction .committed").count() == 3
    for quantity in ("balance.reading", "bag.rise"):
        write_down(student, quantity, read_by_eye(student, made, quantity, UNITS[quantity]))
    session.frame.get_by_role("button", name="Finish").click()
    session.frame.get_by_role("button", name="Sure?").click()
    session.frame.get_by_text("the learning platform is told").wait_for()
    path = download(student, tmp_path / "two")
    read = record.read(path)
    assert path.read_bytes().startswith(before)
    assert (read.student, read.closed, len(read.of("reading"))) == ("pupil-17", True, 3)
    assert read.entries[0].body["reason"] == "weil ½ der Kraft 学 genügt"
    told = session.left()["all"]
    two.close()
    core = told["core"]
    assert (core["lesson_status"], core["score"]["raw"]) == ("completed", "100")
    assert (core["score"]["min"], core["score"]["max"]) == ("0", "100")
    answers = {
        each["id"]: each["student_response"]
        for each in told["interactions"].values()
        if each["type"] == "numeric"
    }
    assert {name: float(text) for name, text in answers.items()} == {
        "prediction_hand_force_N": 4.9,
        "prediction_machine_velocity_ratio": 1.0,
        "prediction_head_reaction_N": 9.8,
        **{
            f"reading_1_{entry.quantity.replace('.', '_')}_{UNITS[entry.quantity]}": pytest.approx(
                float(entry.text.split()[0])
            )
            for entry in read.of("reading")
        },
    }


@pytest.mark.parametrize(("mastery", "status"), [("60", "failed"), ("50", "passed")])
def test_passing_is_told_by_the_teachers_points(
    browser: Browser, whip: tuple[Made, bytes], mastery: str, status: str
) -> None:
    """Where the platform has a mastery score, finished work is passed from so many points on: who
    predicted three of three and read none of three instruments has 57."""
    context = browser.new_context(reduced_motion="reduce")
    told = {"core": LEARNER, "student_data": {"mastery_score": mastery}}
    session = Session(context, whip[1], {"cmi": told})
    predict(session.student, GUESSES)
    session.frame.get_by_role("button", name="Finish").click()
    session.frame.get_by_role("button", name="Sure?").click()
    session.frame.get_by_text("the learning platform is told").wait_for()
    core = session.left()["all"]["core"]
    assert (core["lesson_status"], core["score"]["raw"]) == (status, "57")
    context.close()


def test_what_does_not_fit_is_said_before_it_is_lost(
    browser: Browser, whip: tuple[Made, bytes]
) -> None:
    """Where the record outgrows the 4,096 characters that a platform holds the page says so at
    once; the platform keeps the last whole state, and this browser all of it."""
    context = browser.new_context(reduced_motion="reduce")
    session = Session(context, whip[1], {"cmi": {"core": LEARNER}})
    predict(session.student, {"hand.force": "4.9 N"}, "because")
    held = session.value("cmi.suspend_data")
    draw = random.Random(1)
    long = "".join(chr(draw.randrange(0x4E00, 0x9FA5)) for _ in range(1990))
    predict(session.student, {"machine.velocity_ratio": "1"}, long)
    status = session.frame.locator(".status.warning")
    assert "no room for all of this record" in status.inner_text()
    assert session.value("cmi.suspend_data") == held
    kept = session.left()
    assert kept["suspend_data"] == held
    given = {"cmi": {"core": kept["core"], "suspend_data": held}}
    again = Session(context, whip[1], given)
    again.frame.locator(".committed").nth(1).wait_for()
    again.left()
    context.close()
    elsewhere = browser.new_context()
    again = Session(elsewhere, whip[1], given)
    again.frame.locator(".committed").wait_for()
    assert again.frame.locator(".committed").count() == 1
    again.left()
    elsewhere.close()


def test_a_window_of_its_own_finds_the_platform_that_opened_it(
    browser: Browser, whip: tuple[Made, bytes]
) -> None:
    """Opened in a window of its own, the page finds the API of the window that opened it."""
    context = browser.new_context()
    session = Session(context, whip[1], {"cmi": {"core": LEARNER}})
    session.left(close=False)
    session.page.evaluate("api.reset(); calls.length = 0; api.loadFromJSON(given);")
    with context.expect_page() as opening:
        session.page.get_by_role("button", name="In a window of its own").click()
    window = opening.value
    window.get_by_text("knows you as A, Student").wait_for()
    window.close(run_before_unload=True)
    session.page.wait_for_function("calls.at(-1)[0] === 'LMSFinish'")
    hold_to_the_standard(session.page.evaluate("calls"))
    context.close()


@pytest.mark.parametrize(
    ("api", "said"),
    [
        ("LMSInitialize: () => 'false'", "does not answer"),
        ("LMSInitialize: () => { throw new Error('x'); }", "does not answer"),
        (
            "LMSInitialize: () => 'true', LMSGetValue: () => '', LMSSetValue: () => 'false', "
            "LMSCommit: () => 'false', LMSGetLastError: () => '391', "
            "LMSGetErrorString: () => '<img src=x onerror=alert(1)>'",
            "did not take the last entry (<img",
        ),
        ("LMSInitialize: () => 'true', LMSGetValue: () => 'AAAA'", "no work on this bench"),
    ],
)
def test_a_platform_that_fails_is_said_and_worked_without(
    browser: Browser, whip: tuple[Made, bytes], api: str, said: str, tmp_path: Path
) -> None:
    """Where the platform's API does not answer, takes nothing or holds what cannot be read, the
    page says so in words, never as markup, and the work goes on."""
    with zipfile.ZipFile(io.BytesIO(whip[1])) as packed:
        path = tmp_path / "bench.html"
        path.write_bytes(packed.read("bench.html"))
    context = browser.new_context()
    context.add_init_script(f"window.API = {{ {api} }};")
    page = opened(context, Made(path, whip[0].bench, whip[0].grid))
    warned = page.locator(".status").inner_text()
    if page.get_by_label("Your name or code").count():
        page.get_by_label("Your name or code").fill("Student A")
    predict(page, {"hand.force": "4.9 N"})
    assert said in warned + page.locator(".status").inner_text()
    assert page.locator("img").count() == 0
    context.close()
