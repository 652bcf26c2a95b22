"""Names made to fit by leaving out their middle: of a path, both ends tell it from others."""

from __future__ import annotations


def shortened(name: str, width: int) -> str:
    """`shops/no..ek.yaml` of a name longer than `width`."""
    if len(name) <= width:
        return name
    head = (width - 2) // 3
    return f"{name[:head]}..{name[head + 2 - width :]}"
