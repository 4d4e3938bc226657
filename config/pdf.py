"""PDF pages: a Django template and its context in, the bytes of a PDF out.

The apps below may not import `config`, and all of them print. So `settings.PDF_RENDERER` names the
function, and they fetch it by that name:

    from django.utils.module_loading import import_string

    pdf = import_string(settings.PDF_RENDERER)("parts/print/goods_out.html", {"batch": batch}, images=photos)

Templates extend `print/base.html`. They may show `data:` addresses, the pictures passed in `images` as
`fo-image:NAME`, our fonts as `fo-font:NAME.ttf` and the stylesheets `fo-style:print.css` or
`fo-style:print-SOMETHING.css` from any app's static folder. Every other address, whatever
it is and wherever it stands, stops the page with `PdfRefused`: nothing typed into a field can make the
server read a file or call another machine.

The same template, context and pictures give the same bytes. A view needs no handling of its own for a
computer without the system libraries: `config.middleware` turns `PdfUnavailable` into a page.
"""

import re
import threading
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType
from typing import Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from config.pdf_libraries import how_to_install, missing_libraries

# With no font at all the libraries end the process, so these come with the program.
FONT_FILES = (
    "AtkinsonHyperlegible-Regular.ttf",
    "AtkinsonHyperlegible-Bold.ttf",
    "AtkinsonHyperlegible-Italic.ttf",
    "BarlowCondensed-Medium.ttf",
    "BarlowCondensed-SemiBold.ttf",
)
_STYLESHEET_NAME = re.compile(r"print(-[a-z]+)*\.css")
_PHOTO_OPTIONS = {"optimize_images": True, "jpeg_quality": 75, "dpi": 150}
# One sheet at a time: the layout libraries keep global state, and six photos are 200 MB while they are drawn.
_one_at_a_time = threading.Lock()


class PdfUnavailable(Exception):
    """The system libraries are missing; the message says which command installs them."""


class PdfRefused(Exception):
    """A template asked for an address that is not ours to give; the message names it."""


def render_pdf(
    template: str, context: dict[str, object], *, images: Mapping[str, bytes] | None = None
) -> bytes:
    """The PDF of a template. `images` maps the NAME of each `fo-image:NAME` to the file's bytes."""
    weasyprint = _weasyprint()
    html = render_to_string(template, context)
    fetcher = _fetcher(images or {})
    with _one_at_a_time:
        try:
            # With this base a relative address stays what it is and so meets the refusal below.
            page = weasyprint.HTML(string=html, base_url="fo-page:", url_fetcher=fetcher)
            pdf: bytes = page.write_pdf(pdf_tags=True, **_PHOTO_OPTIONS)
        except weasyprint.urls.FatalURLFetchingError as error:  # a BaseException: it would end the thread
            raise PdfRefused(str(error.__cause__ or error)) from error
    if fetcher.refused:  # from inside a drawing, where even that one is swallowed
        raise fetcher.refused[0]
    return pdf


def _weasyprint() -> ModuleType:
    if missing_libraries():
        raise PdfUnavailable(how_to_install())
    try:
        import weasyprint  # takes a second, so only for those who print
    except OSError as error:
        raise PdfUnavailable(how_to_install()) from error
    return weasyprint


def _fetcher(images: Mapping[str, bytes]) -> Any:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OnlyOurs(URLFetcher):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
            self.refused: list[PdfRefused] = []

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
            if url.lower().startswith("data:"):
                return super().fetch(url, headers)
            try:
                body, content_type = _ours(url, images)
            except PdfRefused as refusal:
                self.refused.append(refusal)
                raise
            return URLFetcherResponse(url, body, {"Content-Type": content_type})

    return OnlyOurs()


def _ours(url: str, images: Mapping[str, bytes]) -> tuple[bytes, str]:
    """Bytes and type of one of our own addresses. Raises PdfRefused for anything else."""
    scheme, _, quoted = url.partition(":")
    name = unquote(quoted)
    if scheme == "fo-image" and name in images:
        return images[name], "image/svg+xml" if name.endswith(".svg") else "image/*"
    if scheme == "fo-font" and name in FONT_FILES:
        return _static_file(f"fonts/{name}", url), "font/ttf"
    if scheme == "fo-style" and _STYLESHEET_NAME.fullmatch(name):
        return _static_file(name, url), "text/css"
    raise PdfRefused(f"A printed page asked for “{url}”, which is neither data: nor one of its own pictures.")


def _static_file(name: str, url: str) -> bytes:
    path = finders.find(name)
    if path is None:
        raise PdfRefused(f"A printed page asked for “{url}”, and there is no such file.")
    return Path(path).read_bytes()
