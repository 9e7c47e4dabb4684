"""All processes that may be looked at while the optimizer is worked on.

Those of `held_out` may not.
"""

from __future__ import annotations

from tests.benchmarks.optimizer.known.deep_holes import (
    ChipPacking,
    CoolantFilm,
    DeepAluminium,
    OilGallery,
    SpoolBore,
    StarvedDepth,
)
from tests.benchmarks.optimizer.known.hard_work import (
    AcidHeater,
    BonePlate,
    HardenedPlate,
    HotTitanium,
    LandingStrut,
    NickelRing,
    WorkHardening,
)
from tests.benchmarks.optimizer.known.iron import (
    AbrasiveIron,
    GreyIronBlock,
    InsertInCasting,
    SpringHanger,
)
from tests.benchmarks.optimizer.known.large_holes import (
    CladTubeSheet,
    DredgerBucket,
    ForgedFlange,
    RailJoint,
    ShaftEnd,
    TipDrillPlate,
    TorqueWall,
)
from tests.benchmarks.optimizer.known.other_work import (
    FibreLaminate,
    GraphiteElectrode,
    PumpImpeller,
    StoneWorktop,
)
from tests.benchmarks.optimizer.known.small_drills import (
    BreakageCliff,
    CrossedBore,
    HingeLeaf,
    NozzleBody,
    OrificePlate,
    SheetStack,
    TungstenCollimator,
)
from tests.benchmarks.optimizer.known.soft_work import (
    BrakeRotor,
    BrassFitting,
    CopperTerminal,
    GearboxCover,
    GrippingBronze,
    LockHousing,
)
from tests.benchmarks.optimizer.known.steel import (
    BuiltUpEdge,
    CoredBoss,
    FreeCuttingBar,
    HeatCliff,
    SinteredHub,
    SoftFixture,
    TieRod,
)
from tests.benchmarks.optimizer.process import Process

KNOWN: tuple[type[Process], ...] = (
    BuiltUpEdge, HeatCliff, SoftFixture, FreeCuttingBar, SinteredHub, CoredBoss, TieRod,
    TorqueWall, TipDrillPlate, RailJoint, ForgedFlange, CladTubeSheet, ShaftEnd, DredgerBucket,
    ChipPacking, CoolantFilm, DeepAluminium, StarvedDepth, OilGallery, SpoolBore,
    BreakageCliff, CrossedBore, NozzleBody, OrificePlate, SheetStack, TungstenCollimator, HingeLeaf,
    AbrasiveIron, InsertInCasting, GreyIronBlock, SpringHanger,
    WorkHardening, HotTitanium, HardenedPlate, NickelRing, LandingStrut, BonePlate, AcidHeater,
    GrippingBronze, CopperTerminal, BrassFitting, GearboxCover, BrakeRotor, LockHousing,
    FibreLaminate, GraphiteElectrode, PumpImpeller, StoneWorktop,
)  # fmt: skip
