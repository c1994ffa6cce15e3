"""What pages do in a browser that they must not do."""

from __future__ import annotations

from typing import Any


class Watched:
    """What a page did that it must not: messages of errors, and requests for anything but itself."""

    def __init__(self, page: Any, address: str) -> None:
        self.errors: list[str] = []
        self.requests: list[str] = []
        self._address = address
        page.on("console", self._message)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", self._request)

    def _message(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.errors.append(message.text)

    def _request(self, request: Any) -> None:
        if request.url.partition("#")[0] != self._address and not request.url.startswith("data:"):
            self.requests.append(request.url)
