"""Markup that cannot be broken into: whatever is not markup already is escaped.

A page is built of `tag("p", "text", class_="note")`. Text and attribute values are escaped on their
way in, so that a name from a site file shows as it is written, whatever is in it.
"""

from __future__ import annotations

import html

Content = object
"""Text, a number, markup, None (nothing), or a list or tuple of these."""

# Elements of HTML without content and end tag.
_VOID = {"br", "hr", "img", "input", "link", "meta", "wbr"}
# Shapes of SVG, which may close themselves.
_DRAWN = {"circle", "path", "rect", "use"}


class Markup(str):
    """Text that is markup; it is put into a page as it stands."""

    __slots__ = ()


def as_markup(content: object) -> Markup:
    """Content as markup: escaped, unless it is markup already."""
    if content is None:
        return Markup()
    if isinstance(content, Markup):
        return content
    if isinstance(content, (list, tuple)):
        return Markup("".join(as_markup(part) for part in content))
    return Markup(html.escape(_visible(str(content)), quote=True))


def _visible(text: str) -> str:
    """The text with characters that no page may hold, or that hide or turn text, as escapes."""
    if text.isprintable():
        return text
    return "".join(
        character
        if character.isprintable() or character in "\n\t\u00a0"
        else character.encode("unicode_escape").decode("ascii")
        for character in text
    )


def tag(name: str, /, *content: Content, **attributes: object) -> Markup:
    """An element. In names of attributes `_` stands for `-`, and one at the end is dropped.

    An attribute that is None or False is left out; one that is True has no value.
    """
    opened = f"<{name}{_attributes(attributes)}"
    if name in _DRAWN and not content:
        return Markup(f"{opened}/>")
    if name in _VOID:
        return Markup(f"{opened}>")
    return Markup(f"{opened}>{as_markup(content)}</{name}>")


def _attributes(attributes: dict[str, object]) -> str:
    parts = []
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        name = key.removesuffix("_").replace("_", "-")
        if value is True:
            parts.append(f' {name}=""')
        else:
            shown = short(value) if isinstance(value, float) else value
            parts.append(f' {name}="{as_markup(shown)}"')
    return "".join(parts)


def short(value: float, digits: int = 2) -> str:
    """A number as short as it goes: `12`, `0.5`, `-3.25`."""
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
