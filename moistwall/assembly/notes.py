"""What the report says about inputs: assumed values, and values that rest on memory alone."""

from __future__ import annotations

from dataclasses import dataclass, field

from moistwall.material import Source

_REMARKS = {"memory": "from memory", "estimate": "estimate"}


@dataclass
class Notes:
    """Lists that grow as an assembly is resolved.

    Parameters
    ----------
    defaults : list of str
        What was not given and therefore assumed, in words.
    from_memory : dict of str to None
        Which values rest on memory alone, in words, each once and in order.
    """

    defaults: list[str] = field(default_factory=list)
    from_memory: dict[str, None] = field(default_factory=dict)

    def sources(self, name: str, sources: dict[str, Source]) -> None:
        """List the values of one material that rest on memory or on an estimate."""
        for quality, remark in _REMARKS.items():
            values = [
                what.replace("_", " ")
                for what, source in sources.items()
                if source.quality == quality
            ]
            if values:
                self.from_memory[f"{name}: {', '.join(values)} ({remark})"] = None


def percent(share: float) -> str:
    """Return a share as people read it."""
    return f"{100.0 * share:.3g} %"
