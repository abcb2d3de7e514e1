"""Every named key of a screen is a command of the palette too."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from textual.command import DiscoveryHit, Hit, Hits, Provider

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


class KeyCommands(Provider):
    """Offers what the keys of the screen below the palette do."""

    def _commands(self) -> Iterator[tuple[str, str, Callable[[], Any]]]:
        for node, key, enabled, tip in self.screen.active_bindings.values():
            if enabled and key.id and key.description and not key.system:
                run = partial(self.app.run_action, key.action, node)
                name = f"{key.description}  ({self.app.get_key_display(key)})"
                yield name, tip or key.tooltip, run

    async def discover(self) -> Hits:
        """All of them, before a word is typed."""
        for title, tip, run in self._commands():
            yield DiscoveryHit(title, run, help=tip)

    async def search(self, query: str) -> Hits:
        """Those that fit the words typed."""
        matcher = self.matcher(query)
        for title, tip, run in self._commands():
            if (score := matcher.match(f"{title} {tip}")) > 0:
                yield Hit(score, matcher.highlight(title), run, help=tip)
