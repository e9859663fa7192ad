"""What a light log showed of a window: the page's section on it."""

from __future__ import annotations

from suncover.export.text.light_text import light_sentences
from suncover.facing.light.study import LightStudy
from suncover.report.page.blocks import figure_block
from suncover.report.pictures.light_log import light_picture
from suncover.report.pictures.markup import Markup, tag
from suncover.site.model import Site


def light_section(site: Site, study: LightStudy) -> Markup:
    """The log's picture, with what it says of the window's direction and of the logger's clock."""
    return tag(
        "section",
        tag("h2", f"What the light on {study.window} shows"),
        [tag("p", sentence) for sentence in light_sentences(site, study)],
        figure_block(light_picture(site, study)),
        id="light",
    )
