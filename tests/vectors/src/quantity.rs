//! Quantities: the products that have a meaning, and the units that a
//! constructor converts.

use core::hint::black_box;

use orangeloom_core::error::Error;
use orangeloom_core::quantity::{
    Area, Capacitance, Charge, ConductorArea, Current, CurrentSquared, Density, Length,
    LinearPower, LinearResistance, Power, Resistance, Share, Temperature, TemperatureDifference,
    ThermalConductance, ThermalResistance, Time, Voltage, VolumetricHeatCapacity,
};

use crate::lines::{Lines, outcome};

/// One case for each product and one for each quotient of two quantities.
macro_rules! pairs {
    ($lines:ident: $( $name:literal = $a:ident $operator:tt $b:ident; )*) => {
        $( $lines.many(concat!("quantity/", $name), |s| {
            let a = $a::try_from(s.within($a::BOUND));
            let b = $b::try_from(s.within($b::BOUND));
            match (a, b) {
                (Ok(a), Ok(b)) => outcome(a $operator b),
                (Err(error), _) | (_, Err(error)) => outcome(Err::<f32, Error>(error)),
            }
        }); )*
    };
}

pub(crate) fn cases(lines: &mut Lines<'_>) {
    pairs! { lines:
        "drop" = Current * Resistance;
        "power" = Current * Voltage;
        "current_squared" = Current * Current;
        "heat" = CurrentSquared * Resistance;
        "heat_per_metre" = CurrentSquared * LinearResistance;
        "joule_integral" = CurrentSquared * Time;
        "charge" = Current * Time;
        "capacitor_charge" = Capacitance * Voltage;
        "charge_energy" = Charge * Voltage;
        "energy" = Power * Time;
        "power_of_a_length" = LinearPower * Length;
        "resistance_of_a_length" = LinearResistance * Length;
        "time_constant" = Resistance * Capacitance;
        "inductance" = Resistance * Time;
        "area" = Length * Length;
        "mass_per_metre" = Density * Area;
        "heat_capacity_per_metre" = VolumetricHeatCapacity * Area;
        "rise" = LinearPower * ThermalResistance;
        "heat_flow" = ThermalConductance * TemperatureDifference;
        "resistivity" = LinearResistance * ConductorArea;
        "share" = Current * Share;
        "resistance_from_drop" = Voltage / Current;
        "current_from_power" = Power / Voltage;
        "side_from_area" = Area / Length;
        "difference" = Temperature - Temperature;
        "warmer" = Temperature + TemperatureDifference;
        "cooler" = Temperature - TemperatureDifference;
    }

    let current = black_box(Current::from_amperes(400.0));
    let resistance = black_box(Resistance::from_ohms(1.2e-3));
    lines.outcome(
        "quantity/drop_of_400_A",
        current.and_then(|current| resistance.and_then(|resistance| current * resistance)),
    );
    lines.many("quantity/length_from_mm", |s| {
        outcome(Length::from_mm(s.within(Length::BOUND) * 1.0e3))
    });
    lines.many("quantity/length_as_mm", |s| {
        outcome(Length::from_metres(s.within(Length::BOUND)).map(Length::as_mm))
    });
    lines.many("quantity/charge_from_ampere_hours", |s| {
        outcome(Charge::from_ampere_hours(s.any()))
    });
    lines.many("quantity/share_as_percent", |s| {
        outcome(Share::from_fraction(s.within(Share::BOUND)).map(Share::as_percent))
    });
}
