"""Requests about the estate as a whole, and about words and blanks that all blocks share."""

from typing import Annotated, Any

from fastapi import APIRouter, Query

from aanplant import __version__
from aanplant.brief import Brief
from aanplant.catalogues import FIRST_LANGUAGE, catalogue, languages
from aanplant.server.brief_fields import told_fields
from aanplant.server.desk import DeskOf, ReaderOf
from aanplant.server.shapes import EstateShape, FieldsShape, WordsShape
from aanplant.stages import STAGE_NAMES

router = APIRouter(tags=["estate"])
_SCHEMA: dict[int | str, dict[str, Any]] = {
    200: {"content": {"application/json": {"example": {"title": "Brief", "type": "object"}}}}
}


@router.get("/estate")
def read_estate(desk: DeskOf) -> EstateShape:
    """Read the estate's settings and the names of its blocks."""
    estate = desk.store.estate()
    return EstateShape(
        name=estate.name,
        place=estate.place,
        currency=estate.currency,
        units=estate.units,
        locale=estate.locale,
        languages=list(languages()),
        stages=list(STAGE_NAMES),
        file_groups=list(desk.groups),
        version=__version__,
        blocks=list(desk.store.blocks()),
    )


@router.get("/brief-schema", responses=_SCHEMA)
def read_brief_schema() -> dict[str, Any]:
    """Read the JSON Schema of a brief, for editors."""
    return Brief.model_json_schema()


@router.get("/brief-fields")
def read_brief_fields(reader: ReaderOf) -> FieldsShape:
    """Read what may stand in each blank of a brief: kind, range, default, source, help."""
    return told_fields(reader.units, reader.language)


@router.get("/words")
def read_words(
    reader: ReaderOf,
    prefix: Annotated[str, Query(max_length=80, examples=["sheet."])] = "",
) -> WordsShape:
    """Read the words of the page in a language; English lends those that it lacks."""
    words = {**catalogue(FIRST_LANGUAGE)["word"], **catalogue(reader.language)["word"]}
    return WordsShape(
        language=reader.language,
        words={name: str(text) for name, text in words.items() if name.startswith(prefix)},
        terms={name: str(text) for name, text in catalogue(reader.language)["term"].items()},
    )
