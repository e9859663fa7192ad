"""The options of a comparison, each as what it makes of every window.

What stands there today comes first (`STANDS`): overhangs, fins, glass, and the shades that are
there (`standing_shades`), closed by their plan. `bare`, `overhang`, `shade` and `both` are always
there too; the site's `[[option]]` tables add more. Two further ways to move the shades serve as a
yardstick for their plan: closed only in hours with real sun, and closed all through the season.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from suncover.heat.glass import GlassTable, glass_table, table_for
from suncover.heat.shade_optics import ShadeEffect, effect_of
from suncover.plan.closings.shade_plan import Closing as ShadeClosing
from suncover.site.model import Option, Shade, Site, Window
from suncover.site.options import STANDARD_OPTIONS, STANDS, Range

Closing = Literal["never", "plan", "sunny", "always"]

SUNNY, ALWAYS = "shade, sunny hours only", "shade, closed all season"
"""The yardsticks, by name; they are not in the CSV."""


@dataclass(frozen=True)
class Fitted:
    """A window with what an option gives it: its glass, when its shades are closed, and what each
    of them leaves of the gain then.

    `light` is the share of the visible light that its glass lets through against the window's own
    glass, None where that is not known.
    """

    window: Window
    glass: GlassTable
    closing: Closing
    effects: tuple[tuple[Shade, ShadeEffect], ...]
    light: float | None = 1.0


@dataclass(frozen=True)
class Variant:
    """An option: the site as it would be (trees, overhangs), and each of its windows.

    `price` is what it costs altogether, None where that is not known; `extra` marks a yardstick.
    `closings` are those of a plan that was given; None where the site's rules make it.
    """

    name: str
    site: Site
    windows: tuple[Fitted, ...]
    price: Range | None = None
    extra: bool = False
    closings: tuple[ShadeClosing, ...] | None = None


def standing_shades(site: Site) -> tuple[Shade, ...]:
    """The shades that are there today: those of the site file for which its `stands` does not say
    otherwise; where it says nothing, a price for shades means that they are yet to be bought.
    """
    bought = site.money.shade is None
    return tuple(
        shade for shade in site.shades if (bought if shade.stands is None else shade.stands)
    )


def variants_of(site: Site, *, yardsticks: bool = True) -> tuple[Variant, ...]:
    """All options of a site: what stands, then the four standard ones, the yardsticks last."""
    standard = {name: _standard(site, name) for name in STANDARD_OPTIONS}
    stands = _standing(site)
    bases = {STANDS: stands, **standard}
    named = [_named(site, option, bases[option.like]) for option in site.options]
    shade = standard["shade"]
    extremes = [_closed(shade, SUNNY, "sunny"), _closed(shade, ALWAYS, "always")]
    return (stands, *standard.values(), *named, *(extremes if yardsticks else ()))


def _standing(site: Site) -> Variant:
    """The windows with what they have today."""
    standing = {shade.name for shade in standing_shades(site)}
    fitted = []
    for window in site.windows:
        possible = _fitted(site, window, "plan")
        effects = tuple(pair for pair in possible.effects if pair[0].name in standing)
        # A window without a shade today keeps the shades that it might have, never closed.
        fitted.append(
            replace(possible, effects=effects) if effects else replace(possible, closing="never")
        )
    return Variant(STANDS, site, tuple(fitted), (0.0, 0.0), extra=True)


def _standard(site: Site, name: str) -> Variant:
    with_overhang, with_shade = name in ("overhang", "both"), name in ("shade", "both")
    windows = tuple(
        window if with_overhang else window.model_copy(update={"overhang": None})
        for window in site.windows
    )
    changed = site.model_copy(update={"windows": windows})
    closing: Closing = "plan" if with_shade else "never"
    fitted = tuple(_fitted(changed, window, closing) for window in windows)
    return Variant(name, changed, fitted, _standard_price(site, with_shade=with_shade))


def _standard_price(site: Site, *, with_shade: bool) -> Range | None:
    """What an option costs beside what stands: the shades that are not there yet. The overhangs of
    the site file are there.
    """
    if not with_shade:
        return 0.0, 0.0
    return _times(site.money.shade, len(site.all_shades()) - len(standing_shades(site)))


def _times(price: Range | None, count: int) -> Range | None:
    if price is None:
        return None if count else (0.0, 0.0)
    return price[0] * count, price[1] * count


def _fitted(site: Site, window: Window, closing: Closing) -> Fitted:
    glass = table_for(site, window)
    shades = (shade for shade in site.all_shades() if window.name in shade.windows)
    return Fitted(
        window, glass, closing, tuple((shade, effect_of(shade, glass)) for shade in shades)
    )


def _closed(base: Variant, name: str, closing: Closing) -> Variant:
    windows = tuple(replace(fitted, closing=closing) for fitted in base.windows)
    return Variant(name, base.site, windows, base.price, extra=True)


def _named(site: Site, option: Option, base: Variant) -> Variant:
    """A `[[option]]`: what it names is changed on its windows, all else is as in its base."""
    chosen = set(option.windows or (window.name for window in site.windows))
    windows = tuple(
        _with_option(site, fitted, option) if fitted.window.name in chosen else fitted
        for fitted in base.windows
    )
    update: dict[str, object] = {"windows": tuple(fitted.window for fitted in windows)}
    if option.tree is not None:
        update["trees"] = (*base.site.trees, option.tree)
    return Variant(option.name, base.site.model_copy(update=update), windows, option.price)


def _with_option(site: Site, fitted: Fitted, option: Option) -> Fitted:
    window, glass, closing = fitted.window, fitted.glass, fitted.closing
    if option.overhang is not None:
        window = window.model_copy(update={"overhang": option.overhang})
    if option.glazing is not None:
        glass = glass_table(site, option.glazing)
    if option.film is not None:
        glass = glass.scaled(option.film)
    cloth = dict(_cloth(option))
    if option.closed is not None:
        closing = option.closed
    elif cloth and closing == "never":
        closing = "plan"  # a shade is named, so that it is meant to be used
    shades = [shade.model_copy(update=cloth) for shade, _ in fitted.effects]
    effects = tuple((shade, effect_of(shade, glass)) for shade in shades)
    return Fitted(window, glass, closing, effects, _light_left(site, fitted, option))


def _light_left(site: Site, fitted: Fitted, option: Option) -> float | None:
    """Share of the visible light that the option's glass and film leave of the own glass's."""
    share: float | None = 1.0
    if option.glazing is not None and option.glazing != fitted.glass.name:
        own_light, new_light = fitted.glass.light, glass_table(site, option.glazing).light
        share = None if own_light is None or new_light is None else new_light / own_light
    if option.film is not None:
        share = None if share is None or option.light is None else share * option.light
    return share


def _cloth(option: Option) -> Iterator[tuple[str, object]]:
    """What the option says of the shade. Another cloth does away with the own cloth's values."""
    if option.place is not None:
        yield "place", option.place
    cloth = ("fabric", "transmittance", "reflectance")
    if any(getattr(option, key) is not None for key in cloth):
        for key in cloth:
            yield key, getattr(option, key)
