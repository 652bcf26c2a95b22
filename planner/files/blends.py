"""Read blends: what goes in, the limits on it, and the standard that may bind them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from planner.core import quantities as measures
from planner.core.name_rules import PLAIN_LENGTH, checked_text
from planner.core.recipe import LOSS, MIXED, Blend, Cut, Limit
from planner.core.spelling import nearest
from planner.core.standards import STANDARDS, Standard
from planner.files.blend_shape import BlendShape
from planner.files.fat_range import SAME, impossible, limits_clash
from planner.files.fields import synonyms
from planner.files.yamlfile import Document, Place

Find = Callable[[Place, str], Cut | None]
"""The cut that a name in `from` means; None, and a fault or doubt, where there is none."""


def read_blend(
    document: Document,
    place: Place,
    shape: BlendShape,
    find: Find,
    unit: str,
    limits: Mapping[str, Any] | None = None,
) -> Blend | None:
    """One blend; None where faults of its own, or of what it takes, leave it open.

    `limits` are those that count, if not all of them do.
    """
    name = str(place[-1])
    if not shape.takes and not document.unsure_within((*place, "from")):
        document.fault((*place, "from"), f"{name} is made from nothing")
    if shape.loss >= 1:
        document.fault((*place, "loss"), f"{name}: nothing is left of what goes in")
    taken = [((*place, "from", n), text) for n, text in enumerate(shape.takes) if text]
    cuts = _cuts(document, shape, taken, find)
    standard = _standard(document, place, shape)
    if len(cuts) < len(taken) or not cuts:
        return None
    read = _limits(document, place, cuts, shape.limits if limits is None else limits)
    found = list(cuts.values())
    if standard:
        _keep_standard(document, place, shape, standard, found)
    if shape.water is not None and shape.water > shape.added + SAME:
        document.fault((*place, "water"), f"{name}: water is part of `added`, but is more")
    batch = _batch(document, place, shape, unit)
    if document.unsure_within(place):
        return None
    species = {cut.species for cut in found}
    made = Cut(
        name,
        species.pop() if len(species) == 1 else MIXED,
        _kind(found),
        shape.keeps,
        imps=shape.imps,
        known_as=synonyms(shape.known_as),
    )
    return Blend(
        cut=made,
        takes=tuple(cut.name for cut in found),
        fat=shape.fat or (0.0, standard.fat if standard else 1.0),
        added=shape.added,
        minutes=shape.minutes,
        limits=read,
        batch=batch,
        loss=shape.loss,
        standard=standard.name if standard else "",
    )


def blame_mixture(document: Document, place: Place, blend: Blend, cuts: Mapping[str, Cut]) -> bool:
    """Whether some mixture keeps the limits of a blend; if none does, that is recorded."""
    why = impossible(blend, cuts)
    if why:
        document.fault(place if limits_clash(blend, cuts) else (*place, "fat"), why)
    return why is None


def blame_name(document: Document, place: Place, name: str) -> None:
    """Record that nothing of a recipe can be called so."""
    if name == LOSS:
        document.fault(place, f'"{LOSS}" is reserved for weight that is lost')
    else:
        blame_text(document, place, name)


def blame_text(document: Document, place: Place, name: str) -> None:
    """Record that nothing can be called so: too long, or with signs that nobody sees."""
    try:
        checked_text(name, "the name", PLAIN_LENGTH)
    except ValueError as error:
        document.fault(place, str(error))


def blame_known_as(
    document: Document, place: Place, known_as: Sequence[str | None], names: Mapping[str, str]
) -> None:
    """Record synonyms that are written twice, or are right names; `names` tells what of."""
    for number, text in enumerate(known_as):
        if text is None:
            continue
        if text in names:
            document.fault((*place, number), f'known as: "{text}" is {names[text]} already')
        elif text in known_as[:number]:
            document.fault((*place, number), f'known as: "{text}" is listed here twice')


def point_out_names(document: Document, blends: Mapping[str, BlendShape]) -> None:
    """Point out blends that have the name of a standardized product and are not said to be one."""
    for name, shape in blends.items():
        standard = STANDARDS.get(name.lower())
        if standard and not shape.standard:
            message = (
                f"{name} has the name of a standardized product; with `standard: {standard.name}` "
                f"its limits are checked (9 CFR {standard.section})"
            )
            document.warn(("blends", name), message)


def _cuts(
    document: Document, shape: BlendShape, taken: Sequence[tuple[Place, str]], find: Find
) -> dict[str, Cut]:
    """What goes in, by the name written; less than was written where something is wrong."""
    cuts: dict[str, Cut] = {}
    for place, text in taken:
        cut = find(place, text)
        if cut is None:
            continue
        if cut in cuts.values():
            document.fault(place, f'"{text}" is listed twice')
        elif cut.by_each:
            document.fault(place, f"{text} is sold by each; a blend takes cuts by weight")
        elif cut.fat is None and (shape.fat or shape.standard):
            message = f"{text} needs a lean share (`lean: 85%`) to go into a blend with a fat limit"
            document.fault(place, message)
        else:
            cuts[text] = cut
    return cuts


def _kind(cuts: Sequence[Cut]) -> str:
    """Bones stay bones and fat stays fat, whatever is done to them."""
    kinds = {cut.kind for cut in cuts}
    return kinds.pop() if kinds in ({"bone"}, {"fat"}) else "ground"


def _batch(document: Document, place: Place, shape: BlendShape, unit: str) -> float:
    if shape.batch is None:
        return 0.0
    try:
        if shape.batch.unit == "each" or shape.batch.number <= 0:
            raise ValueError("write the weight of one batch, such as 10 lb")
        return measures.pounds(shape.batch, unit)
    except ValueError as error:
        document.fault((*place, "batch"), f"batch: {error}")
        return 0.0


def _limits(
    document: Document, place: Place, cuts: Mapping[str, Cut], limits: Mapping[str, Any]
) -> tuple[Limit, ...]:
    """Limits on the share of a species, or of one cut."""
    species = dict.fromkeys(cut.species for cut in cuts.values())
    known = {each: tuple(c.name for c in cuts.values() if c.species == each) for each in species}
    for text, cut in cuts.items():
        for name in (text, cut.name, f"{cut.species} {cut.name}"):
            known.setdefault(name, (cut.name,))
    unsure = document.unsure_at(("species",)) or document.unsure_within(("takes from",))
    read = []
    for key, written in limits.items():
        here = (*place, key)
        if document.blamed_around(here) or (key not in known and unsure):
            continue
        if key not in known:
            keys = [field.alias or name for name, field in BlendShape.model_fields.items()]
            near = nearest(key, [*keys, *known])
            near = near or f" (known here: {', '.join(keys)}, and what stands in `from`)"
            document.fault(here, f'unknown key "{key}"{near}')
        elif not isinstance(written, str):
            document.fault(here, f"{key}: write a limit such as at least 60%")
        else:
            try:
                least, most = measures.read_share_limits(written)
            except ValueError as error:
                document.fault(here, f"{key}: {error}")
            else:
                name = key if key in species else known[key][0]
                read.append(Limit(name, known[key], least, most))
    return tuple(read)


def _standard(document: Document, place: Place, shape: BlendShape) -> Standard | None:
    if shape.standard is None:
        return None
    found = STANDARDS.get(shape.standard.lower())
    if found is None:
        near = nearest(shape.standard, STANDARDS) or f" (known here: {', '.join(STANDARDS)})"
        message = f'no standardized product called "{shape.standard}"{near}'
        document.fault((*place, "standard"), message)
    return found


def _keep_standard(
    document: Document, place: Place, shape: BlendShape, standard: Standard, cuts: Sequence[Cut]
) -> None:
    """Record what a standardized product may not be."""
    others = [f"{cut.name} is {cut.species}" for cut in cuts if cut.species not in standard.species]
    bare = [cut.name for cut in cuts if cut.kind == "fat" and not standard.fat_as_such]
    fat = shape.fat[1] if shape.fat else 0.0
    water = (shape.added if shape.water is None else shape.water) / (1 + shape.added)
    allowed = f"at most {standard.water:.0%}" if standard.water else "no"
    too_wet = f"may have {allowed} water or ice, and this has {water * 100:.4g}%"
    if shape.water is None:
        too_wet += "; where `added` is seasoning too, write the water alone: water: 1%"
    wrong = (
        (others, "from", f"takes {standard.species[0]} only, and {', '.join(others)}"),
        (bare, "from", f"takes no fat as such, only trim with fat on it: {', '.join(bare)}"),
        (
            shape.loss,
            "loss",
            "may have nothing lost in the making, or it would have more fat than stated",
        ),
        (
            fat > standard.fat + SAME,
            "fat",
            f"may have at most {standard.fat:.0%} fat, and this up to {fat * 100:.4g}%",
        ),
        (water > standard.water + SAME, "added" if shape.water is None else "water", too_wet),
    )
    for found, key, message in wrong:
        if found:
            document.fault((*place, key), f"{standard.cited} {message}")
