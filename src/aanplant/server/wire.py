"""What all JSON of the interface has in common, and the one shape of its errors."""

from pydantic import BaseModel, ConfigDict, Field


class Shape(BaseModel):
    """A JSON document of the interface."""

    model_config = ConfigDict(
        extra="forbid",
        use_attribute_docstrings=True,
        allow_inf_nan=False,
        json_schema_serialization_defaults_required=True,  # an answer holds every member
    )


class ProblemShape(BaseModel):
    """Problem details by RFC 9457."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    type: str = Field(examples=["about:blank"])
    """Always ``about:blank``: the status tells the kind."""
    title: str = Field(examples=["Unprocessable Content"])
    """The status in words."""
    status: int = Field(examples=[422])
    """Of HTTP."""
    detail: str = Field(
        examples=["brief.toml: rows.headland: found '-3 m'; expected between 0 and 50 m"]
    )
    """One sentence for a person."""
    where: str | None = Field(default=None, examples=["brief.toml: rows.headland"])
    """File, key or line."""
    found: str | None = Field(default=None, examples=["'-3 m'"])
    """What stands there."""
    expected: str | None = Field(default=None, examples=["between 0 and 50 m"])
    """What would be right."""
