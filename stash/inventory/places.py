"""What about the place of a stash may lose saves: a disk on the network, a folder that another machine fills too, the
journal of a save that was cut off."""

from __future__ import annotations

import re
from pathlib import Path

from stash.inventory.opening import Found

_NETWORK = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "davfs", "fuse.sshfs", "fuse.rclone"}
_SYNCED = re.compile(
    r"(dropbox|onedrive|google ?drive|icloud ?drive|com~apple~clouddocs|mobile documents|nextcloud|owncloud|syncthing)",
    re.IGNORECASE,
)
_COPY = re.compile(r"(conflict|in conflict|\bcopy\b|\(\d+\)$)", re.IGNORECASE)
MOUNTS = Path("/proc/self/mounts")


def warnings(found: Found) -> list[str]:
    """A sentence for each thing about the place of a stash, as it was just opened, that its owner should know."""
    said = []
    if found.taken_back is not None:
        said.append(
            "A save to this stash was cut off, and what was half done has been taken back. If you had put the file back"
            f' by hand since, restore it as it was: restore "{found.taken_back}".'
        )
    kind = file_system(found.path)
    if kind in _NETWORK:
        said.append(
            f"This stash is on a disk on the network ({kind}), where a save can be lost when two programs open it;"
            " keep it on a disk of this machine."
        )
    synced = next((part for part in found.path.parts[:-1] if _SYNCED.search(part)), None)
    if synced is not None:
        said.append(
            f'This stash is in a folder that is kept alike on several machines ("{synced}"): open it on one machine at'
            " a time, and let the folder catch up first."
        )
    copies = conflicted(found.path)
    if copies:
        said.append(f"Beside this stash lies what may be another version of it: {', '.join(copies)}.")
    return said


def file_system(path: Path) -> str:
    """The kind of file system that `path` is on, where the system tells ("" elsewhere)."""
    try:
        lines = MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    best, kind = -1, ""
    for line in lines:
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        place = Path(re.sub(r"\\(\d{3})", lambda code: chr(int(code[1], 8)), fields[1]))
        if path.is_relative_to(place) and len(place.parts) >= best:
            best, kind = len(place.parts), fields[2]
    return kind


def conflicted(path: Path) -> list[str]:
    """Names beside `path` that programs which keep folders alike give to the second of two versions."""
    try:
        names = sorted(one.name for one in path.parent.iterdir())
    except OSError:
        return []
    beside = [name for name in names if name != path.name and name.startswith(path.stem) and name.endswith(path.suffix)]
    return [name for name in beside if _COPY.search(Path(name).stem[len(path.stem):])]
