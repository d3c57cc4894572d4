"""A page as a package that a learning platform takes: ADL SCORM 1.2 (2001), Content Aggregation
Model, with the page as its one shareable content object."""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape

from sandbox.lab.class_work.record import digest

PAGE = "bench.html"
MANIFEST = "imsmanifest.xml"
MOST_POINTS = 100
"""Of cmi.core.score.raw, and so of a mastery score."""
_LONGEST_TITLE = 200
"""Characters; what IMS Content Packaging 1.1.2 asks a platform to take at least."""
_BEGUN = (1980, 1, 1, 0, 0, 0)
"""The time of every file of a package, so that the same page makes the same bytes."""

_MANIFEST = """\
<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="{name}" version="1.0"
    xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2"
    xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2">
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>1.2</schemaversion>
  </metadata>
  <organizations default="organization">
    <organization identifier="organization">
      <title>{title}</title>
      <item identifier="item" identifierref="resource" isvisible="true">
        <title>{title}</title>{mastery}
      </item>
    </organization>
  </organizations>
  <resources>
    <resource identifier="resource" type="webcontent" adlcp:scormtype="sco" href="{page}">
      <file href="{page}"/>
    </resource>
  </resources>
</manifest>
"""


def package_of(page: str, title: str, mastery: int | None = None) -> bytes:
    """The ZIP of a page, for a platform to show under a title; with the points of 100 from which
    the platform counts the work as passed, if that is to be told by points.

    >>> zipfile.ZipFile(io.BytesIO(package_of("<p>a bench</p>", "A bench"))).namelist()
    ['imsmanifest.xml', 'bench.html']
    """
    score = (
        "" if mastery is None else f"\n        <adlcp:masteryscore>{mastery}</adlcp:masteryscore>"
    )
    manifest = _MANIFEST.format(
        name=f"sandbox_{digest(page)[:16]}",
        title=escape(title[:_LONGEST_TITLE]),
        mastery=score,
        page=PAGE,
    )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in ((MANIFEST, manifest), (PAGE, page)):
            entry = zipfile.ZipInfo(name, _BEGUN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, text.encode())
    return held.getvalue()
