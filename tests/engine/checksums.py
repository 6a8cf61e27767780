"""The checksum of a whole stash as JSON, by its own rules."""

from __future__ import annotations

import hashlib
import json
from typing import Any

Document = dict[str, Any]


def signed(document: Document) -> Document:
    """The document with the checksum that its own rules give it, reckoned here anew."""

    def text(value: Any) -> bytes:
        return json.dumps(value, separators=(",", ":")).encode() + b"\n"

    summed = hashlib.sha256(f"starcover stash {document['version']}\n".encode())
    for name, table in document["tables"].items():
        summed.update(text([name, table["columns"]]))
        for row in table["rows"]:
            summed.update(text(row))
    return document | {"sha256": summed.hexdigest()}
