//! What a voltage asks for besides distances: tests, isolation, capacitance, bond.

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{
    BOND_TEST_CURRENT_A, BondPath, Domain, IsolationCase, NEW_BUILD_FACTOR, Precaution, Supply,
    VehicleTest, VoltageClass, WithstandTest, largest_y_capacitance, vehicle_test, voltage_class,
    withstand_test,
};
use orangeloom_core::quantity::{Capacitance, Resistance, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::standard::iec60664::Insulation;

use super::ask::Asked;

/// Withstand tests of a component and the isolation test of the finished vehicle.
pub(crate) struct Tests {
    /// One for each supply of the component; empty for functional insulation.
    pub(crate) component: Vec<(Supply, WithstandTest)>,
    pub(crate) vehicle: VehicleTest,
}

impl Tests {
    pub(crate) const BEFORE_COMPONENT: [Precaution; 7] = Precaution::WITHSTAND;
    pub(crate) const BEFORE_VEHICLE: [Precaution; 5] = Precaution::VEHICLE;

    pub(crate) fn find(asked: &Asked, working: Voltage) -> Result<Self, Error> {
        Ok(Self {
            component: component_tests(working, asked.mains, asked.insulation)?,
            vehicle: vehicle_test(working)?,
        })
    }
}

/// A part on the mains is tested for both of its supplies.
pub(crate) fn component_tests(
    working: Voltage,
    mains: Option<Voltage>,
    insulation: Insulation,
) -> Result<Vec<(Supply, WithstandTest)>, Error> {
    let mut tests = Vec::new();
    let vehicle = Some((Supply::Vehicle, working));
    for (supply, voltage) in vehicle
        .into_iter()
        .chain(mains.map(|mains| (Supply::Mains, mains)))
    {
        if let Some(test) = withstand_test(voltage, supply, insulation)? {
            tests.push((supply, test));
        }
    }
    Ok(tests)
}

/// The other limits that hang on the same voltage.
pub(crate) struct Limits {
    pub(crate) isolation: Vec<(IsolationCase, Resistance)>,
    /// Both poles to chassis together; absent for alternating voltage.
    pub(crate) y_capacitance: Option<Capacitance>,
    pub(crate) class: VoltageClass,
}

impl Limits {
    /// How many times the isolation limit a new and dry build should reach.
    pub(crate) const NEW_BUILD: f32 = NEW_BUILD_FACTOR;
    /// Least current for measuring a bond, in A.
    pub(crate) const BOND_CURRENT_A: f32 = BOND_TEST_CURRENT_A;

    pub(crate) fn find(asked: &Asked, working: Voltage) -> Result<Self, Error> {
        let cases: &[IsolationCase] = if asked.alternating {
            &[IsolationCase::AlternatingSeparate]
        } else {
            &[
                IsolationCase::Connected,
                IsolationCase::ConnectedAlternatingProtected,
            ]
        };
        let mut isolation = Vec::new();
        for &case in cases {
            isolation.push((case, case.limit(working)?));
        }
        Ok(Self {
            isolation,
            y_capacitance: if asked.alternating {
                None
            } else {
                Some(largest_y_capacitance(working)?)
            },
            class: voltage_class(asked.domain, working, asked.alternating)?,
        })
    }

    /// Resistance that a bond to chassis stays below, in ohm, and its source.
    pub(crate) const fn bond() -> (f32, SourceId) {
        BondPath::ToChassis.limit_ohm()
    }

    /// Up to where a voltage may be touched, in V, and its source.
    pub(crate) const fn touchable(domain: Domain, alternating: bool) -> (f32, SourceId) {
        let limits = domain.limits();
        let volts = if alternating {
            limits.touchable_ac_v
        } else {
            limits.touchable_dc_v
        };
        (volts, limits.source)
    }
}
