"""What the configuration allows at each place, in words, worked out from `model` itself."""

from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt
from pydantic.fields import FieldInfo

from drydown.config.kinds import Table
from drydown.config.model import Probe, Site
from drydown.config.positions import KeyPath

_PROBES: tuple[type[Table], ...] = get_args(Probe)
PROBE_KINDS: dict[str, str] = {next(iter(kind.model_fields)): kind.__name__ for kind in _PROBES}
"""The key that makes a probe what it is, and the name of its table in the model."""


def keys_at(path: KeyPath) -> list[str]:
    """The keys that the table at a path of the model may have; none where no table stands."""
    table = _table(_at(path))
    return list(table.model_fields) if table else []


def needed_at(path: KeyPath) -> list[str]:
    """The keys that the table at a path of the model must have."""
    table = _table(_at(path))
    return [key for key, field in table.model_fields.items() if field.is_required()] if table else []


def values_at(path: KeyPath) -> str:
    """What may stand at a path of the model, in words."""
    return _words(_at(path))


def choices_at(path: KeyPath) -> list[str]:
    """The texts to choose from at a path of the model; none where anything else may stand."""
    found = _bare(_at(path))
    return [choice for choice in get_args(found) if isinstance(choice, str)] if _is_choice(found) else []


def home_of(key: str) -> str | None:
    """The one table that has a key: where a key that stands in the wrong place belongs."""
    tank: KeyPath = ("tank", 0)
    places: dict[str, KeyPath] = {"the top of the file": (), "[tank]": tank}
    places |= {f"[{name}]": (*tank, name) for name in keys_at(tank)}
    places |= {f"[{name}]": (name,) for name in keys_at(())}
    found = [place for place, path in places.items() if key in keys_at(path)]
    return found[0] if len(found) == 1 else None


def tables_of_tank() -> frozenset[str]:
    """The tables that belong to a tank."""
    tank: KeyPath = ("tank", 0)
    return frozenset(key for key in keys_at(tank) if keys_at((*tank, key)) or key == "probes")


def meant(wrong: object, allowed: list[str]) -> str:
    """A question for the allowed word that was probably meant, or nothing."""
    found = get_close_matches(str(wrong)[:64].lower(), allowed, n=1, cutoff=0.6)
    return f" did you mean {found[0]}?" if found else ""


def _at(path: KeyPath) -> Any:
    """The annotation at a path; None where the model has nothing."""
    found: Any = Site
    for part in path:
        found = _inner(_bare(found), part)
    return found


def _inner(outer: Any, part: str | int) -> Any:
    if isinstance(outer, type) and issubclass(outer, Table):
        field = outer.model_fields.get(str(part))
        return Annotated[field.annotation, field] if field else None
    inner = get_args(outer)
    if get_origin(outer) is dict:
        return inner[1]
    if get_origin(outer) is tuple:
        if inner[-1] is Ellipsis:
            return inner[0]
        return inner[part] if isinstance(part, int) and part < len(inner) else None
    if _is_union(outer):
        return next((member for member in inner if getattr(member, "__name__", None) == part), None)
    return None


def _bare(annotation: Any) -> Any:
    """Without what is said about it, and without None as another possibility."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if _is_union(annotation):
        members = [member for member in get_args(annotation) if member is not NoneType]
        return _bare(members[0]) if len(members) == 1 else annotation
    return annotation


def _said(annotation: Any) -> Iterator[Any]:
    """Everything that is said about an annotation: bounds and descriptions."""
    if _is_union(annotation):
        for member in get_args(annotation):
            yield from _said(member)
    if get_origin(annotation) is Annotated:
        inner, *said = get_args(annotation)
        for item in said:
            if isinstance(item, FieldInfo):
                yield from item.metadata
            yield item
        yield from _said(inner)


def _words(annotation: Any) -> str:
    bare = _bare(annotation)
    description = next((said.description for said in _said(annotation) if _describes(said)), "")
    if bare is float or bare is int:
        kind = "a number" if bare is float else "a whole number"
        return kind + _bounds(annotation) + (f" ({description})" if description else "")
    if bare is str or bare is Path:
        return description or "text"
    if _is_choice(bare):
        return ", ".join("true" if choice is True else str(choice) for choice in get_args(bare))
    if _is_union(bare):
        return f"a table with one of the keys {', '.join(PROBE_KINDS)}"
    table = _table(bare)
    return f"a table with the keys {', '.join(table.model_fields)}" if table else _collection_words(bare)


def _collection_words(bare: Any) -> str:
    inner = get_args(bare)
    if get_origin(bare) is dict:
        return f"a table, each entry {_words(inner[1])}"
    if get_origin(bare) is tuple:
        size = "of any length" if inner[-1] is Ellipsis else f"of {len(inner)}"
        return f"an array {size}, each entry {_words(inner[0])}"
    return "nothing"


def _describes(said: Any) -> bool:
    return isinstance(said, FieldInfo) and bool(said.description)


def _bounds(annotation: Any) -> str:
    words = {Gt: "greater than", Ge: "at least", Lt: "less than", Le: "at most"}
    bounds = [
        f"{words[type(bound)]} {getattr(bound, type(bound).__name__.lower()):g}"
        for bound in _said(annotation)
        if type(bound) in words
    ]
    return f" {' and '.join(bounds)}" if bounds else ""


def _table(annotation: Any) -> type[Table] | None:
    bare = _bare(annotation)
    return bare if isinstance(bare, type) and issubclass(bare, Table) else None


def _is_union(annotation: Any) -> bool:
    return get_origin(annotation) in (Union, UnionType)


def _is_choice(annotation: Any) -> bool:
    return get_origin(annotation) is Literal
