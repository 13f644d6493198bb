"""What stands in a configuration, in kinds: tables, names, lengths, temperatures, files."""

from pathlib import Path
from typing import Annotated

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
)
from pydantic_core import PydanticCustomError

from drydown.quantities import ZERO_CELSIUS
from drydown.texts.language import languages

Name = Annotated[
    str,
    StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,31}$"),
    Field(description='lower-case letters, digits and "-", not beginning with "-", at most 32'),
]
"""A site's or tank's name: it stands in MQTT topics, addresses and file names."""

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Finite = Annotated[float, Field(allow_inf_nan=False)]
Metres = Annotated[float, Field(gt=0, le=10, allow_inf_nan=False, description="m, inside")]
CelsiusLimit = Annotated[
    float,
    Field(ge=0, le=200, allow_inf_nan=False, description="°C"),
    AfterValidator(lambda celsius: celsius + ZERO_CELSIUS),
    PlainSerializer(lambda kelvin: round(kelvin - ZERO_CELSIUS, 6), when_used="json"),
]
"""Written in Celsius, held in kelvin."""

Micrometres = Annotated[
    float,
    Field(ge=5, le=100, allow_inf_nan=False, description="µm, a drop's diameter"),
    AfterValidator(lambda micrometres: micrometres / 1e6),
    PlainSerializer(lambda metres: round(metres * 1e6, 6), when_used="json"),
]
"""Written in micrometres, held in metres."""

FileName = Annotated[
    Path,
    BeforeValidator(lambda name: Path(name) if isinstance(name, str) else name),
    Field(description="the path of a file or folder, as text"),
]
"""Text in the file, also where nothing else is converted."""


def _is_there(language: str) -> str:
    if language not in languages():
        raise PydanticCustomError("language", "no texts are there in this language")
    return language


Language = Annotated[str, AfterValidator(_is_there), Field(description=", ".join(languages()))]
"""In which pages, notices and reports are written."""


class Table(BaseModel):
    """A TOML table: unknown keys are errors, and nothing changes once it is read."""

    model_config = ConfigDict(extra="forbid", frozen=True, validate_default=True)
