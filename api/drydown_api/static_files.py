"""The pages' scripts, looks and pictures, held ready in memory.

A page asks for a dozen at once, while its charts are being looked up: read from the disk and packed for each
asker on threads, they would wait for those.
"""

import gzip
import mimetypes
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from drydown_api.kept import is_known, tag_of
from drydown_api.packing import takes_packed
from drydown_pages.joined import joined


@dataclass(frozen=True, slots=True)
class _File:
    kind: str
    tag: str
    plain: bytes
    packed: bytes


class StaticFiles:
    """All files of a folder as they are now, by their paths in it; each script with all that it imports."""

    def __init__(self, folder: Path) -> None:
        self._files = {
            path.relative_to(folder).as_posix(): _file(path) for path in folder.rglob("*") if path.is_file()
        }

    async def answer(self, request: Request) -> Response:
        """The file of the path parameter `path`. Raises HTTPException."""
        file = self._files.get(request.path_params["path"])
        if file is None:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        headers = {"ETag": file.tag, "Vary": "Accept-Encoding"}
        if is_known(request, file.tag):
            return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=headers)
        if takes_packed(request) and len(file.packed) < len(file.plain):
            return Response(file.packed, headers=headers | {"Content-Encoding": "gzip"}, media_type=file.kind)
        return Response(file.plain, headers=headers, media_type=file.kind)


def _file(path: Path) -> _File:
    kind, _ = mimetypes.guess_type(path)
    content = joined(path).encode() if path.suffix == ".js" else path.read_bytes()
    return _File(kind or "application/octet-stream", tag_of(content), content, gzip.compress(content))
