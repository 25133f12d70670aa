"""The section of the brief on what the law asks before this land is planted."""

from typing import Annotated, Literal

from pydantic import StringConstraints

from aanplant.brief.fields import PRACTICE, Name, Section
from aanplant.brief.history import Answer

Status = Literal["granted", "applied", "refused", "not needed", "unanswered"]


class PermissionAnswer(Section):
    """Where one permission stands."""

    id: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{1,60}$")]
    """Id of the permission, as the table of permissions has it."""
    status: Status
    """granted, applied, refused, not needed (as the authority said) or unanswered."""
    reference: Name = ""
    """Number or date of the letter."""


class PermissionFacts(Section):
    """What of this land the law may ask about, and where each permission stands."""

    country: Annotated[str, StringConstraints(pattern=r"^$|^[A-Z]{2}$")] = ""
    """Country by its two letters, such as "ZA"; general questions only when left out."""
    virgin_soil: Annotated[Answer, PRACTICE] = "unknown"
    """Land never cultivated, or not for so long that the law counts it as new."""
    listed_soil: Annotated[Answer, PRACTICE] = "unknown"
    """A soil the law lists as prone to erosion."""
    near_watercourse: Annotated[Answer, PRACTICE] = "unknown"
    """A stream, wetland or flood area in the block or within the distance the law keeps."""
    natural_vegetation: Annotated[Answer, PRACTICE] = "unknown"
    """Natural vegetation to be cleared."""
    heritage: Annotated[Answer, PRACTICE] = "unknown"
    """Graves, ruins, old walls or other heritage, or a site large enough to be reported."""
    new_water_use: Annotated[Answer, PRACTICE] = "unknown"
    """Water taken or stored beyond what is licensed today."""
    planting_registration: Annotated[Answer, PRACTICE] = "unknown"
    """A planting that must be registered or authorised."""
    answers: tuple[PermissionAnswer, ...] = ()
    """Where each permission stands, one table each."""
