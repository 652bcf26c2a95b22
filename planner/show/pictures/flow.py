"""Where the weight of the period goes, as bands as wide as it is much."""

from __future__ import annotations

from planner.ask.weight_flow import STAGES, Node, WeightFlow, weight_flow
from planner.core.quantities import show_share
from planner.core.scenario import Scenario
from planner.show.layout import clip
from planner.show.pictures.flowlayout import Layout, lay_out
from planner.show.pictures.letters import LONGEST, clean
from planner.show.pictures.picture import Picture, drawn
from planner.show.pictures.ranks import Band, Box
from planner.show.species import piece_name
from planner.solve.plan import Plan

TITLE = "Where the weight goes"

HEADS = {
    "hangs": "comes in",
    "piece": "pieces",
    "cut": "cuts",
    "blend": "blended",
    "fate": "how it ends",
}
"""What the columns are called."""

ENDS = ("hangs", "fate")
"""The columns at both ends, with few boxes and labels of two lines."""


def flow_picture(plan: Plan, prefix: str = "flow") -> Picture:
    """The flow of a plan's weight."""
    flow = weight_flow(plan)
    words = tuple(_words(plan.scenario, flow))
    layout = layout_of(plan.scenario, flow)
    looks = {
        number: node.name.replace(" ", "-") if node.stage == "fate" else node.stage
        for number, node in enumerate(flow.nodes)
    }
    svg = drawn("flow", prefix, TITLE, layout.high, layout=layout, looks=looks)
    return Picture(TITLE, svg, words)


def layout_of(scenario: Scenario, flow: WeightFlow) -> Layout:
    """The flow in columns; a stage that nothing passes has none."""
    stages = [stage for stage in STAGES if any(node.stage == stage for node in flow.nodes)]
    return lay_out(
        heads=[
            HEADS[stage] if stage in ENDS else f"{HEADS[stage]}, {scenario.unit}"
            for stage in stages
        ],
        boxes=[
            Box(
                column=stages.index(node.stage),
                weight=node.weight,
                lines=2 if node.stage in ENDS else 1,
                held=node.stage == "fate",
            )
            for node in flow.nodes
        ],
        bands=[Band(link.source, link.target, link.weight) for link in flow.links],
        labels=[(_name(scenario, node), _weight(scenario, node)) for node in flow.nodes],
    )


def _weight(scenario: Scenario, node: Node) -> str:
    """With its unit at both ends, where there is room; the heads of the other columns have it."""
    text = scenario.units.weight(node.weight)
    return text if node.stage in ENDS else text.removesuffix(f" {scenario.unit}")


def _name(scenario: Scenario, node: Node) -> str:
    name = clean(clip(node.name, LONGEST))
    if node.together:
        return f"{len(node.together)} {name}"
    if node.stage == "piece":
        return clean(clip(piece_name(scenario, node.species, node.name), LONGEST))
    return name


def _words(scenario: Scenario, flow: WeightFlow) -> list[str]:
    """How all of it ends, then where the weight of each goes, then what is put together."""
    ends = [
        f"{_told(scenario, node, node.weight)} ({show_share(node.weight / flow.weight)})"
        for node in flow.nodes
        if node.stage == "fate"
    ]
    lines = [f"{HEADS['fate']}: {', '.join(ends)}"] if ends else []
    for number, node in enumerate(flow.nodes):
        targets = sorted(
            (link for link in flow.links if link.source == number),
            key=lambda link: (-link.weight, link.target),
        )
        if targets:
            goes = (_told(scenario, flow.nodes[link.target], link.weight) for link in targets)
            lines.append(f"{_told(scenario, node, node.weight)}: {', '.join(goes)}")
    for node in flow.nodes:
        if node.together:
            names = ", ".join(clean(clip(name, LONGEST)) for name in node.together)
            lines.append(f"{_name(scenario, node)}: {names}")
    return lines


def _told(scenario: Scenario, node: Node, weight: float) -> str:
    text = scenario.units.weight(weight)
    told = text if scenario.units.shows(weight) else f"under 0.1 {scenario.unit}"
    return f"{_name(scenario, node)} {told}"
