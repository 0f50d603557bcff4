//! What a swap sheet's rows are made of.

use super::stream::{Ceiling, Stream};
use crate::build::{Bearing, GateKind, HousingEntry};

/// What a row is about, in the order the air meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ItemKind {
    /// How many turbochargers.
    Turbochargers,
    /// Air filter.
    Filter,
    /// Pipe from filter to compressor.
    IntakePipe,
    /// Hose on the compressor's inlet.
    Inlet,
    /// Hose on the compressor's outlet.
    Outlet,
    /// Pipe from compressor to cooler.
    HotPipe,
    /// Charge cooler.
    Cooler,
    /// Pipe from cooler to throttle.
    ColdPipe,
    /// Fuel injectors.
    Injectors,
    /// Exhaust manifold.
    Manifold,
    /// Joint between manifold and turbine.
    TurbineFlange,
    /// Turbine housing.
    TurbineHousing,
    /// Wastegate.
    Gate,
    /// Spring of the wastegate.
    GateSpring,
    /// Joint between turbine and downpipe.
    ExhaustFlange,
    /// Bore of the turbine's outlet.
    TurbineOutlet,
    /// Downpipe.
    Downpipe,
    /// Thread or fitting of the oil feed.
    OilFeed,
    /// Restrictor in the oil feed.
    OilRestrictor,
    /// Oil drain.
    OilDrain,
    /// Coolant lines.
    Coolant,
    /// Length along the shaft.
    Length,
    /// Height.
    Height,
    /// Width of the compressor housing.
    CompressorHousing,
    /// Width of the turbine housing.
    TurbineHousingWidth,
}

impl ItemKind {
    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            ItemKind::Turbochargers => "Turbochargers",
            ItemKind::Filter => "Air filter",
            ItemKind::IntakePipe => "Intake pipe",
            ItemKind::Inlet => "Compressor inlet",
            ItemKind::Outlet => "Compressor outlet",
            ItemKind::HotPipe => "Hot charge pipe",
            ItemKind::Cooler => "Charge cooler",
            ItemKind::ColdPipe => "Cold charge pipe",
            ItemKind::Injectors => "Injectors",
            ItemKind::Manifold => "Exhaust manifold",
            ItemKind::TurbineFlange => "Turbine flange",
            ItemKind::TurbineHousing => "Turbine housing",
            ItemKind::Gate => "Wastegate",
            ItemKind::GateSpring => "Gate spring",
            ItemKind::ExhaustFlange => "Exhaust flange",
            ItemKind::TurbineOutlet => "Turbine outlet",
            ItemKind::Downpipe => "Downpipe",
            ItemKind::OilFeed => "Oil feed",
            ItemKind::OilRestrictor => "Oil restrictor",
            ItemKind::OilDrain => "Oil drain",
            ItemKind::Coolant => "Coolant lines",
            ItemKind::Length => "Length along the shaft",
            ItemKind::Height => "Height",
            ItemKind::CompressorHousing => "Compressor housing, width",
            ItemKind::TurbineHousingWidth => "Turbine housing, width",
        }
    }
}

/// What stands before or after the swap. SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// It is known that there is none.
    Nothing,
    /// The record or the field is blank.
    NotKnown,
    /// How many.
    Count(u8),
    /// m.
    Length(f64),
    /// Pa gauge.
    GaugePressure(f64),
    /// kg/s.
    Flow(f64),
    /// Pressure lost, Pa.
    Loss(f64),
    /// Share of the time, 0 to 1.
    Duty(f64),
    /// m³/s.
    VolumeFlow(f64),
    /// In the record's own words.
    Words(String),
    /// A turbine housing.
    Housing {
        /// A/R.
        a_over_r: f64,
        /// One passage or two.
        entry: HousingEntry,
    },
    /// A wastegate.
    Gate {
        /// Where it sits.
        kind: GateKind,
        /// Valve seat diameter, m.
        diameter_m: f64,
    },
    /// What an exhaust manifold ends in.
    Manifold {
        /// For how many turbochargers.
        turbochargers: u8,
        /// With one passage for each or two.
        entry: HousingEntry,
    },
}

/// What becomes of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// It stays as it is.
    CarriesOver,
    /// Something has to be done.
    Change,
    /// It works as it is and would be better changed.
    Optional,
    /// Something that decides it is not known.
    NotKnown,
}

impl Verdict {
    /// What the page calls it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Verdict::CarriesOver => "Carries over",
            Verdict::Change => "Change",
            Verdict::Optional => "Optional",
            Verdict::NotKnown => "Not known",
        }
    }
}

/// What to do. SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Nothing.
    Keep,
    /// Measure or ask before anything is bought.
    MeasureFirst,
    /// It comes with the turbocharger.
    ComesWithIt,
    /// More of the same, one for each turbocharger that is added.
    Add {
        /// How many.
        count: u8,
    },
    /// Those that are left over come off, and what they were joined to is closed.
    TakeOff {
        /// How many.
        count: u8,
    },
    /// A reducer, or a hose or pipe of the other size, between two diameters.
    Reducer {
        /// What is there, m.
        from_m: f64,
        /// What it has to fit, m.
        to_m: f64,
    },
    /// An oil drain of this bore all the way: a reducer would hold oil up.
    OtherDrain {
        /// Inside diameter, m.
        bore_m: f64,
    },
    /// Another pipe of at least this bore.
    WiderPipe {
        /// Inside diameter, m.
        bore_m: f64,
    },
    /// A filter for more flow.
    LargerFilter {
        /// kg/s.
        flow_kg_s: f64,
    },
    /// A charge cooler for more flow.
    LargerCooler {
        /// kg/s.
        flow_kg_s: f64,
    },
    /// Injectors of at least this static flow at their rated pressure.
    LargerInjectors {
        /// Each, m³/s.
        flow_m3_s: f64,
    },
    /// Another manifold, or adapters.
    NewManifold,
    /// Another flange on the part that stays, or an adapter.
    NewFlange,
    /// Another fitting on the line.
    NewFitting,
    /// A housing of another A/R on the cartridge that is there.
    OtherHousing {
        /// A/R.
        a_over_r: f64,
    },
    /// A wastegate on the manifold, for a turbine housing without one.
    AddExternalGate {
        /// Valve seat diameter, m.
        diameter_m: f64,
    },
    /// The wastegate on the manifold comes off and its port is closed.
    CloseGatePort,
    /// Another wastegate on the manifold.
    OtherGate {
        /// Valve seat diameter, m.
        diameter_m: f64,
    },
    /// A larger wastegate: boost creeps with this one.
    LargerGate,
    /// A softer spring: this one alone holds more boost than is asked.
    SofterSpring {
        /// It may hold at most, Pa gauge.
        most_pa: f64,
    },
    /// A stiffer spring: this one is blown open before the boost asked is there.
    StifferSpring {
        /// It should hold at least, Pa gauge.
        least_pa: f64,
    },
    /// A restrictor in the oil feed.
    FitRestrictor {
        /// Bore, m.
        bore_m: f64,
    },
    /// The restrictor comes out of the oil feed.
    RemoveRestrictor,
    /// Coolant lines to a turbocharger that takes them.
    AddCoolantLines,
    /// The coolant lines come off and are closed.
    CloseCoolantLines,
    /// Room has to be made.
    MakeRoom {
        /// How much is missing, m.
        missing_m: f64,
    },
}

impl Action {
    /// What the page says, without the numbers.
    #[must_use]
    pub const fn label(&self) -> &'static str {
        match self {
            Action::Keep => "Keep it",
            Action::MeasureFirst => "Measure first",
            Action::ComesWithIt => "Comes with the turbocharger",
            Action::Add { .. } => "Add another",
            Action::TakeOff { .. } => "Take one off and close what it was joined to",
            Action::Reducer { .. } => "Fit a reducer, or a hose or pipe of that size",
            Action::OtherDrain { .. } => "Fit a drain of that bore all the way",
            Action::WiderPipe { .. } => "Fit a wider pipe",
            Action::LargerFilter { .. } => "A larger filter would lose less",
            Action::LargerCooler { .. } => "A larger cooler would lose less",
            Action::LargerInjectors { .. } => "Fit larger injectors",
            Action::NewManifold => "Fit another manifold",
            Action::NewFlange => "Fit another flange or an adapter",
            Action::NewFitting => "Fit another fitting",
            Action::OtherHousing { .. } => "Fit the other housing to the cartridge",
            Action::AddExternalGate { .. } => "Add a gate on the manifold",
            Action::CloseGatePort => "Close the port of the gate on the manifold",
            Action::OtherGate { .. } => "Fit another gate",
            Action::LargerGate => "Fit a larger gate",
            Action::SofterSpring { .. } => "Fit a softer spring",
            Action::StifferSpring { .. } => "Fit a stiffer spring",
            Action::FitRestrictor { .. } => "Fit a restrictor",
            Action::RemoveRestrictor => "Take the restrictor out",
            Action::AddCoolantLines => "Add coolant lines",
            Action::CloseCoolantLines => "Take the coolant lines off and close them",
            Action::MakeRoom { .. } => "Make room",
        }
    }
}

/// What a verdict rests on. Pairs are before and after. SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Because {
    /// What the two records say.
    Records,
    /// How many turbochargers there are.
    Count,
    /// How fast it runs, where the bore is known; and how fast is customary.
    Speed {
        /// Before.
        from: Option<Stream>,
        /// After.
        to: Option<Stream>,
        /// How fast is customary.
        ceiling: Ceiling,
    },
    /// Flow over what the loss is quoted at.
    Flow {
        /// The flow that the loss is quoted at, kg/s.
        rated_kg_s: f64,
        /// It was entered; else it is what is usual for an engine of that size.
        rated_entered: bool,
        /// Most flow, kg/s.
        flow_kg_s: (f64, f64),
        /// Most pressure lost, Pa.
        loss_pa: (f64, f64),
    },
    /// Injectors.
    Duty {
        /// Share of the time that they may stand open.
        allowed: f64,
        /// Static flow that each must have at its rated pressure, m³/s.
        needed_m3_s: (f64, f64),
    },
    /// Turbine wheels and joints.
    Frame {
        /// Both wheels have the same diameters.
        same_wheel: bool,
        /// Both flanges and gate are the same; `None` where a flange is not known.
        same_joints: Option<bool>,
    },
    /// Boost creeps with the gate wide open.
    Creep {
        /// Before.
        from: bool,
        /// After.
        to: bool,
    },
    /// Boost asked, Pa gauge, least and most; and how often the spring's a controller can hold.
    Boost {
        /// Least.
        least_pa: f64,
        /// Most.
        most_pa: f64,
        /// Boost over what the spring alone holds, at most, and who says so.
        over_spring: (f64, &'static str),
    },
    /// The kind of bearing, and what practice says of it.
    Bearing {
        /// Before.
        from: Bearing,
        /// After.
        to: Bearing,
        /// The value after the swap is practice's, not the record's.
        by_practice: bool,
        /// What practice says.
        practice: &'static str,
    },
    /// Room that there is, m; `None` where it is not known.
    Room(Option<f64>),
}

/// A row of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is about.
    pub kind: ItemKind,
    /// What stands before.
    pub from: Value,
    /// What stands after.
    pub to: Value,
    /// What becomes of it.
    pub verdict: Verdict,
    /// What to do.
    pub action: Action,
    /// What that rests on.
    pub because: Because,
    /// How many of it there are before and after.
    pub count: (u8, u8),
}
