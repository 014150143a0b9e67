//! Quantities: every constructor and getter, every product and quotient.

use orangeloom_core::quantity::*;

use super::{Visit, accepted};

/// A constructor and its getter.
macro_rules! units {
    ($visit:ident: $( $quantity:ident $from:ident $get:ident; )*) => {
        $( $visit.brief(1.0_f32, |value| $quantity::$from(*value).map($quantity::$get)); )*
        // Where each of them has a further name.
        $( $visit.brief(1.0_f32, |value| $quantity::try_from(*value).map(f32::from)); )*
    };
}

/// `a * b = c`, the other way round, and both quotients.
macro_rules! products {
    ($visit:ident: $( $a:ident * $b:ident = $c:ident; )*) => {
        $(
            let a = $visit.given(stringify!($a), $a::try_from($a::BOUND.max()));
            let b = $visit.given(stringify!($b), $b::try_from($b::BOUND.max()));
            let c = $visit.given(stringify!($c), $c::try_from($c::BOUND.max()));
            if let (Some(a), Some(b), Some(c)) = (a, b, c) {
                $visit.brief((a, b), |(a, b)| *a * *b);
                $visit.brief((a, b), |(a, b)| *b * *a);
                $visit.brief((c, b), |(c, b)| *c / *b);
                $visit.brief((c, a), |(c, a)| *c / *a);
            }
        )*
    };
}

/// A quantity times a share.
macro_rules! shares {
    ($visit:ident: $( $quantity:ident )*) => {
        $(
            let whole = $quantity::try_from($quantity::BOUND.max());
            let whole = $visit.given(stringify!($quantity), whole);
            if let Some(whole) = whole {
                $visit.brief((whole, SHARE), |(whole, share)| *whole * *share);
            }
        )*
    };
}

const SHARE: Share = accepted(Share::from_percent(2.0));

/// Calls of `quantity`.
pub fn all(visit: &mut impl Visit) {
    const CURRENT: Current = accepted(Current::from_amperes(400.0));
    const RESISTANCE: Resistance = accepted(Resistance::from_ohms(1.2e-3));
    const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));

    visit.call("quantity/from_volts", 400.0_f32, |value| {
        Voltage::from_volts(*value)
    });
    visit.call("quantity/product", (CURRENT, RESISTANCE), |(i, r)| *i * *r);
    visit.call("quantity/quotient", (VOLTAGE, RESISTANCE), |(u, r)| *u / *r);

    units! { visit:
        Temperature from_degc as_degc;
        TemperatureDifference from_kelvin as_kelvin;
        Current from_amperes as_amperes;
        CurrentSquared from_a2 as_a2;
        CurrentSquaredTime from_a2s as_a2s;
        Voltage from_volts as_volts;
        Power from_watts as_watts;
        LinearPower from_watts_per_m as_watts_per_m;
        Energy from_joules as_joules;
        Charge from_coulombs as_coulombs;
        Charge from_ampere_hours as_ampere_hours;
        Resistance from_ohms as_ohms;
        LinearResistance from_ohm_per_m as_ohm_per_m;
        LinearResistance from_ohm_per_km as_ohm_per_km;
        Resistivity from_ohm_m as_ohm_m;
        TemperatureCoefficient from_per_kelvin as_per_kelvin;
        Capacitance from_farads as_farads;
        Inductance from_henries as_henries;
        Frequency from_hertz as_hertz;
        Time from_seconds as_seconds;
        Length from_metres as_metres;
        Length from_mm as_mm;
        Area from_mm2 as_mm2;
        Area from_m2 as_m2;
        ConductorArea from_mm2 as_mm2;
        ConductorArea from_m2 as_m2;
        Mass from_kg as_kg;
        LinearMass from_kg_per_m as_kg_per_m;
        Density from_kg_per_m3 as_kg_per_m3;
        Pressure from_pascals as_pascals;
        Altitude from_metres as_metres;
        ThermalConductivity from_w_per_m_k as_w_per_m_k;
        ThermalResistance from_k_m_per_w as_k_m_per_w;
        ThermalConductance from_w_per_k as_w_per_k;
        VolumetricHeatCapacity from_j_per_m3_k as_j_per_m3_k;
        LinearHeatCapacity from_j_per_m_k as_j_per_m_k;
        Share from_fraction as_fraction;
        Share from_percent as_percent;
        Emissivity from_fraction as_fraction;
        CurrentMargin from_fraction as_fraction;
        Torque from_newton_metres as_newton_metres;
        ShieldLossRatio from_fraction as_fraction;
        SkinConstant from_fraction as_fraction;
    }

    products! { visit:
        Current * Resistance = Voltage;
        Current * Voltage = Power;
        Current * Current = CurrentSquared;
        CurrentSquared * Resistance = Power;
        CurrentSquared * LinearResistance = LinearPower;
        CurrentSquared * Time = CurrentSquaredTime;
        Current * Time = Charge;
        Capacitance * Voltage = Charge;
        Charge * Voltage = Energy;
        Power * Time = Energy;
        LinearPower * Length = Power;
        LinearResistance * Length = Resistance;
        Resistance * Capacitance = Time;
        Resistance * Time = Inductance;
        Length * Length = Area;
        LinearMass * Length = Mass;
        Density * Area = LinearMass;
        VolumetricHeatCapacity * Area = LinearHeatCapacity;
        LinearPower * ThermalResistance = TemperatureDifference;
        ThermalConductance * TemperatureDifference = Power;
        LinearResistance * ConductorArea = Resistivity;
    }
    shares! { visit: Voltage Current Power Energy Charge Length }

    const WARM: Temperature = accepted(Temperature::from_degc(90.0));
    const RISE: TemperatureDifference = accepted(TemperatureDifference::from_kelvin(40.0));
    const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(70.0));

    visit.brief((WARM, WARM), |(one, other)| *one - *other);
    visit.brief((WARM, RISE), |(from, rise)| *from + *rise);
    visit.brief((WARM, RISE), |(from, fall)| *from - *fall);
    visit.brief(SECTION, |section| Area::from(*section));
}
