"""All processes that may be looked at while the optimizer is worked on.

Those of `held_out` may not.
"""

from __future__ import annotations

from tests.benchmarks.optimizer.known.contract_work import (
    CoolingChannel,
    DairyFlange,
    DrawbarEye,
    MeteringValve,
    SteeringKnuckle,
    WindowProfile,
)
from tests.benchmarks.optimizer.known.deep_holes import (
    ChipPacking,
    CoolantFilm,
    DeepAluminium,
    OilGallery,
    SpoolBore,
    StarvedDepth,
)
from tests.benchmarks.optimizer.known.general_work import (
    AustemperedBracket,
    BoilerHeader,
    CrownWheelBlank,
    RetortLid,
    RunnerStrip,
    Thermowell,
)
from tests.benchmarks.optimizer.known.hard_work import (
    AcidHeater,
    BonePlate,
    HardenedPlate,
    HotTitanium,
    LandingStrut,
    LayupMould,
    NickelRing,
    WorkHardening,
)
from tests.benchmarks.optimizer.known.iron import (
    AbrasiveIron,
    CompactedBlock,
    GreyIronBlock,
    InsertInCasting,
    SpringHanger,
)
from tests.benchmarks.optimizer.known.job_shop import (
    BasePlate,
    BearingCap,
    ChuckJaw,
    MotorBracket,
    ProbeSleeve,
    TitaniumClevis,
)
from tests.benchmarks.optimizer.known.jobbing import (
    AnodeHanger,
    BoltCircle,
    KnifeBed,
    RudderStock,
    ShieldingBrick,
    SightGlass,
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
from tests.benchmarks.optimizer.known.machine_building import (
    BearingPedestal,
    ConveyorRoller,
    GirderSplice,
    GuideRail,
    SprayBar,
    WinchDrum,
)
from tests.benchmarks.optimizer.known.maintenance import (
    AdjustingScrew,
    Counterweight,
    LiftingLug,
    PunchPlate,
    TankSocket,
    WormWheel,
)
from tests.benchmarks.optimizer.known.other_work import (
    CupHinge,
    FibreLaminate,
    GraphiteElectrode,
    PumpImpeller,
    StoneWorktop,
    WingSkin,
)
from tests.benchmarks.optimizer.known.plant import (
    CoolerBlock,
    HoseNipple,
    PressPlaten,
    PulleyHub,
    ThrustCollar,
    ValveBonnet,
)
from tests.benchmarks.optimizer.known.sheet import FormedCollar, SheetStack
from tests.benchmarks.optimizer.known.small_drills import (
    BreakageCliff,
    CrossedBore,
    HingeLeaf,
    NozzleBody,
    OrificePlate,
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
    GateBracket,
    HeatCliff,
    SinteredHub,
    SoftFixture,
    TieRod,
)
from tests.benchmarks.optimizer.known.subcontract import (
    EjectorPlate,
    SealHousing,
    SheaveBlank,
    StrainerBasket,
    TineHolder,
    ZincLever,
)
from tests.benchmarks.optimizer.process import Process

KNOWN: tuple[type[Process], ...] = (
    BuiltUpEdge, HeatCliff, SoftFixture, FreeCuttingBar, SinteredHub, CoredBoss, TieRod,
    GateBracket,
    TorqueWall, TipDrillPlate, RailJoint, ForgedFlange, CladTubeSheet, ShaftEnd, DredgerBucket,
    ChipPacking, CoolantFilm, DeepAluminium, StarvedDepth, OilGallery, SpoolBore,
    BreakageCliff, CrossedBore, NozzleBody, OrificePlate, SheetStack, TungstenCollimator, HingeLeaf,
    FormedCollar,
    AbrasiveIron, InsertInCasting, GreyIronBlock, SpringHanger, CompactedBlock,
    WorkHardening, HotTitanium, HardenedPlate, NickelRing, LandingStrut, BonePlate, AcidHeater,
    LayupMould,
    GrippingBronze, CopperTerminal, BrassFitting, GearboxCover, BrakeRotor, LockHousing,
    FibreLaminate, GraphiteElectrode, PumpImpeller, StoneWorktop, WingSkin, CupHinge,
    ChuckJaw, MotorBracket, ProbeSleeve, BasePlate, BearingCap, TitaniumClevis,
    DrawbarEye, MeteringValve, WindowProfile, SteeringKnuckle, CoolingChannel, DairyFlange,
    GirderSplice, SprayBar, BearingPedestal, WinchDrum, GuideRail, ConveyorRoller,
    EjectorPlate, StrainerBasket, TineHolder, SheaveBlank, SealHousing, ZincLever,
    LiftingLug, TankSocket, Counterweight, PunchPlate, WormWheel, AdjustingScrew,
    ThrustCollar, HoseNipple, ValveBonnet, PressPlaten, CoolerBlock, PulleyHub,
    CrownWheelBlank, BoilerHeader, RetortLid, AustemperedBracket, RunnerStrip, Thermowell,
    ShieldingBrick, KnifeBed, SightGlass, BoltCircle, RudderStock, AnodeHanger,
)  # fmt: skip
