"""The whole brief, and what it tells about any of its keys."""

from typing import Any, Self

from pydantic import BaseModel, model_validator
from pydantic.fields import FieldInfo

from aanplant.brief.canopy import Canopy, Weights
from aanplant.brief.climate import ClimateRules, ProtectionRules
from aanplant.brief.cultivar import CultivarRules, SpacingRules
from aanplant.brief.drippers import DripperLineRules, UniformityRules, WettingRules
from aanplant.brief.ends import EndRules
from aanplant.brief.fields import Default, NamesFile, Section, quantity_of, refusal
from aanplant.brief.ground import GroundRules
from aanplant.brief.head_works import HeadWorks, PumpRules
from aanplant.brief.history import LandHistory
from aanplant.brief.money import MoneyRules
from aanplant.brief.nursery import Nursery
from aanplant.brief.permissions import PermissionFacts
from aanplant.brief.pipes import PipeRules
from aanplant.brief.planting import PlantingRules
from aanplant.brief.posts import PostRules
from aanplant.brief.preparation import Preparation
from aanplant.brief.rootstock import RootstockRules
from aanplant.brief.schedule import ScheduleRules
from aanplant.brief.sections import (
    Block,
    Machine,
    Materials,
    RowRules,
    Vines,
    WaterRules,
    WorkRules,
)
from aanplant.brief.soil import Soil
from aanplant.brief.spares import SamplingRules, SpareRules
from aanplant.brief.trellis import TrellisRules
from aanplant.brief.vine_water import DemandRules, FirstSeasonRules, WateringRules
from aanplant.brief.water_analysis import WaterAnalysis
from aanplant.brief.water_system import MainRules, SetRules
from aanplant.working import Input


class Brief(Section):
    """All that is asked for one block."""

    block: Block
    vines: Vines
    spares: SpareRules = SpareRules()
    sampling: SamplingRules = SamplingRules()
    soil: Soil = Soil()
    ground: GroundRules = GroundRules()
    rows: RowRules = RowRules()
    weights: Weights = Weights()
    canopy: Canopy = Canopy()
    trellis: TrellisRules = TrellisRules()
    posts: PostRules = PostRules()
    ends: EndRules = EndRules()
    water: WaterRules = WaterRules()
    sets: SetRules = SetRules()
    mains: MainRules = MainRules()
    dripper_line: DripperLineRules = DripperLineRules()
    uniformity: UniformityRules = UniformityRules()
    wetting: WettingRules = WettingRules()
    pump: PumpRules = PumpRules()
    head_works: HeadWorks = HeadWorks()
    water_analysis: WaterAnalysis = WaterAnalysis()
    demand: DemandRules = DemandRules()
    watering: WateringRules = WateringRules()
    first_season: FirstSeasonRules = FirstSeasonRules()
    pipes: PipeRules = PipeRules()
    machine: Machine = Machine()
    materials: Materials = Materials()
    cultivar: CultivarRules = CultivarRules()
    spacing: SpacingRules = SpacingRules()
    rootstock: RootstockRules = RootstockRules()
    climate: ClimateRules = ClimateRules()
    protection: ProtectionRules = ProtectionRules()
    history: LandHistory = LandHistory()
    permissions: PermissionFacts = PermissionFacts()
    preparation: Preparation = Preparation()
    nursery: Nursery = Nursery()
    planting: PlantingRules = PlantingRules()
    work: WorkRules = WorkRules()
    schedule: ScheduleRules = ScheduleRules()
    money: MoneyRules = MoneyRules()

    @model_validator(mode="after")
    def _spacing_along_the_ground_needs_free_rows(self) -> Self:
        if self.rows.spacing_along == "ground" and self.vines.pattern != "free":
            raise refusal(
                f'rows.spacing_along = "ground" with vines.pattern = "{self.vines.pattern}"',
                'vines.pattern = "free", since vines stand opposite one another only on the plan',
            )
        return self

    @model_validator(mode="after")
    def _the_work_begins_before_planting_ends(self) -> Self:
        month, starts = self.work.planting, self.schedule.starts
        if month and starts and starts[:7] > month:
            raise refusal(
                f'schedule.starts = "{starts}" with work.planting = "{month}"',
                "a first day of the work that is not behind the month of planting",
            )
        return self

    def setting(self, key: str) -> Any:  # noqa: ANN401 - any key of the brief
        """Return the value behind a dotted key such as ``rows.headland``."""
        value: Any = self
        for name in key.split("."):
            value = getattr(value, name)
        return value

    def is_given(self, key: str) -> bool:
        """Whether the user wrote this key, or its default stands."""
        section: BaseModel = self
        *path, last = key.split(".")
        for name in path:
            if name not in section.model_fields_set:
                return False
            section = getattr(section, name)
        return last in section.model_fields_set

    def as_input(self, key: str, name: str = "") -> Input:
        """Return a key as an input of a figure, with the source of its default.

        Parameters
        ----------
        key : str
            Dotted key, such as ``rows.headland``.
        name : str
            Name the formula uses; the last part of the key when left out.
        """
        given = self.is_given(key)
        info = field_of(key)
        quantity = quantity_of(info)
        source = next(
            (item.source for item in info.metadata if isinstance(item, Default)), "practice"
        )
        value = self.setting(key)
        if isinstance(value, bool):
            value = "yes" if value else "no"
        return Input(
            name or key.rpartition(".")[2],
            value,
            "deg" if key == "rows.bearing" else quantity.unit if quantity else "",
            f"brief:{key}" if given else f"default:{key}",
            "" if given else source,
        )

    def named_files(self) -> dict[str, str]:
        """Return the names of the files that stand in the brief, by dotted key."""
        sections = {name: getattr(self, name) for name in type(self).model_fields}
        return {
            f"{section}.{name}": getattr(values, name)
            for section, values in sections.items()
            for name, info in type(values).model_fields.items()
            if NamesFile() in info.metadata and getattr(values, name)
        }

    def canonical(self) -> dict[str, Any]:
        """Return every key with its value in fixed units, defaults included."""
        return self.model_dump(mode="json")


def field_of(key: str) -> FieldInfo:
    """Return the field behind a dotted key.

    Raises
    ------
    KeyError
        If the brief has no such key.
    """
    model: type[BaseModel] = Brief
    *path, last = key.split(".")
    for name in path:
        annotation = model.model_fields[name].annotation
        if not (isinstance(annotation, type) and issubclass(annotation, BaseModel)):
            raise KeyError(key)
        model = annotation
    return model.model_fields[last]
