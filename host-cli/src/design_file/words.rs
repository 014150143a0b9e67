//! The words that some keys take, and what they stand for.

use orangeloom_core::conductor::installation::InTube;
use orangeloom_core::design::{Arrow, PollutionKept, Purpose, Role, System, Utilisation, WhichEnd};
use orangeloom_core::insulation::{Domain, IsolationCase, StrapMetal};
use orangeloom_core::shield::{CableVoltageClass, CircuitNoise};
use orangeloom_core::size::series::MetricTable;
use orangeloom_core::standard::iec60287::Tube as TubeMaterial;
use orangeloom_core::standard::iec60664::{Insulation, MaterialGroup, OvervoltageCategory};
use orangeloom_core::standard::iec60664_creepage::Surface;
use orangeloom_core::standard::metal::Metal;

/// What is written as one word out of a list.
pub(super) trait Words: Copy + 'static {
    /// Each word with what it stands for.
    const ROWS: &'static [(&'static str, Self)];
}

/// The words alone, in the order of the list.
pub(super) fn words_of<W: Words>() -> Vec<&'static str> {
    W::ROWS.iter().map(|(word, _)| *word).collect()
}

macro_rules! words {
    ($( $type:ty { $( $word:literal: $value:expr, )* } )*) => {
        $(
            impl Words for $type {
                const ROWS: &'static [(&'static str, Self)] = &[ $( ($word, $value), )* ];
            }
        )*
    };
}

/// What is around a conductor, before the tube is looked up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LaidAs {
    FreeAir,
    TouchingPair,
    AgainstPanel,
    Tube(InTube),
}

words! {
    Domain {
        "road": Self::Road,
        "farm": Self::Farm,
        "rail": Self::Rail,
        "craft": Self::Craft,
    }
    IsolationCase {
        "direct-separate": Self::DirectSeparate,
        "alternating-separate": Self::AlternatingSeparate,
        "connected": Self::Connected,
        "connected-alternating-protected": Self::ConnectedAlternatingProtected,
    }
    OvervoltageCategory {
        "I": Self::One,
        "II": Self::Two,
        "III": Self::Three,
        "IV": Self::Four,
    }
    PollutionKept {
        "nothing": Self::Nothing,
        "sealed-with-breather": Self::SealedWithBreather,
        "coated": Self::Coated,
        "potted": Self::Potted,
        "clean-air": Self::CleanAir,
    }
    StrapMetal {
        "copper": Self::Copper,
        "aluminium": Self::Aluminium,
        "steel": Self::Steel,
    }
    Metal {
        "copper": Self::Copper,
        "tinned-copper": Self::TinnedCopper,
        "aluminium": Self::Aluminium,
    }
    MetricTable {
        "iec-60228-class-5": Self::Iec60228Class5,
        "iec-60228-class-2": Self::Iec60228Class2,
        "iso-19642": Self::Iso6722,
    }
    CableVoltageClass {
        "60 V DC": Self::Dc60,
        "900 V DC": Self::Dc900,
        "1500 V DC": Self::Dc1500,
    }
    CircuitNoise {
        "switching": Self::Switching,
        "quiet": Self::Quiet,
    }
    System {
        "traction": Self::Traction,
        "low-voltage": Self::LowVoltage,
    }
    Arrow {
        "along": Self::Along,
        "against": Self::Against,
        "without": Self::Without,
    }
    Purpose {
        "precharge": Self::Precharge,
        "bleed": Self::Bleed,
        "discharge": Self::Discharge,
        "other": Self::Other,
    }
    Role {
        "consumer": Self::Consumer,
        "drive": Self::Drive,
        "charging-source": Self::ChargingSource,
    }
    Utilisation {
        "aR": Self::Ar,
        "gR": Self::Gr,
        "gPV": Self::Gpv,
        "gG": Self::Gg,
        "battery": Self::Battery,
        "vehicle": Self::Vehicle,
    }
    Insulation {
        "functional": Self::Functional,
        "basic": Self::Basic,
        "supplementary": Self::Supplementary,
        "reinforced": Self::Reinforced,
    }
    MaterialGroup {
        "I": Self::I,
        "II": Self::Ii,
        "IIIa": Self::Iiia,
        "IIIb": Self::Iiib,
    }
    Surface {
        "plain": Self::Plain,
        "ribbed": Self::Ribbed,
        "printed-wiring": Self::PrintedWiring,
    }
    TubeMaterial {
        "metal": Self::Metallic,
        "fibre": Self::FibreInAir,
        "plastic": Self::Plastic,
    }
    WhichEnd {
        "from": Self::From,
        "to": Self::To,
    }
    LaidAs {
        "free-air": Self::FreeAir,
        "touching-pair": Self::TouchingPair,
        "against-panel": Self::AgainstPanel,
        "tube": Self::Tube(InTube::One),
        "tube-pair": Self::Tube(InTube::Pair),
    }
}
