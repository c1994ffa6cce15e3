"""Pages that are one file: style, script, pictures and numbers inside, and nothing fetched.

A page extends ``pages/base.html``. Every text that is put into it is escaped, whatever file it comes from.
The Content-Security-Policy of the page lets in the one style sheet and the one script that it was made
with, each by its hash, and pictures that stand in it; a browser refuses everything else.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import Any

from moistwall import __version__
from moistwall.show.cautions import CAUTIONS

FOLDER = "pages"
"""Where templates, style sheet and script lie, beside this module."""

POLICY = (
    "default-src 'none'; img-src data:; style-src '{style}'; script-src '{script}'; base-uri 'none'; "
    "form-action 'none'"
)


def page_source(name: str) -> str:
    """A template, style sheet or script as it lies in the package.

    Parameters
    ----------
    name : str
        Its file name.
    """
    return files("moistwall.show").joinpath(FOLDER, name).read_text(encoding="utf-8")


def policy_hash(text: str) -> str:
    """Hash by which a Content-Security-Policy lets in what stands inside the page.

    Parameters
    ----------
    text : str
        The style sheet or script, as it stands between its tags.

    Returns
    -------
    str
        Such as 'sha256-...' (W3C, Content Security Policy Level 3, section 2.3.1).
    """
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return "sha256-" + base64.b64encode(digest).decode("ascii")


def render_page(
    template: str,
    *,
    scripts: Sequence[str] = (),
    styles: Sequence[str] = (),
    data: Mapping[str, Any] | None = None,
    cautions: Sequence[str] = CAUTIONS,
    **values: Any,
) -> str:
    """Fill a template that extends ``base.html``.

    Parameters
    ----------
    template : str
        File name of the template.
    scripts, styles : sequence of str
        Files that follow ``page.js`` and ``page.css`` in the one script and the one style sheet.
    data : mapping or None
        Numbers that the script reads, fit for JSON.
    cautions : sequence of str
        What the page ends with.
    **values
        What the template asks for; texts are escaped, drawings are not (they escape their own).

    Returns
    -------
    str
        The page.
    """
    from markupsafe import Markup

    style = "\n".join(page_source(name) for name in ("page.css", *styles))
    script = "\n".join(page_source(name) for name in ("page.js", *scripts))
    policy = POLICY.format(style=policy_hash(style), script=policy_hash(script))
    page: str = (
        _environment()
        .get_template(template)
        .render(
            style=Markup(style),
            script=Markup(script),
            policy=Markup(policy),
            data=data,
            cautions=cautions,
            version=__version__,
            **values,
        )
    )
    return page


def _environment() -> Any:
    import jinja2

    return jinja2.Environment(
        loader=jinja2.FunctionLoader(page_source),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
