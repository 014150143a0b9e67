//! Unit factors and the product table against an independent units library.
//!
//! The library is uom. Its factors that are no whole multiples of SI are printed
//! with seven digits; ours are exact by definition. Where it rounds, the
//! tolerance is the seventh digit.

use orangeloom::quantity_text::Kind;
use uom::si::f64 as q;
use uom::si::{
    area, capacitance, electric_charge, electric_current, electric_potential,
    electrical_resistance as resistance, electrical_resistivity as resistivity, energy, frequency,
    heat_capacity, inductance, length, mass, mass_density, power, pressure, ratio,
    temperature_coefficient, temperature_interval, thermal_conductivity, thermodynamic_temperature,
    time, torque, volumetric_heat_capacity,
};

/// One of a unit, as a uom quantity.
macro_rules! one {
    ($quantity:ident, $module:ident::$unit:ident) => {
        q::$quantity::new::<$module::$unit>(1.0)
    };
}

/// Both sides are exact by definition; only the arithmetic of f64 differs.
const EXACT: f64 = 1.0e-14;
/// uom prints the factor with seven digits: half of the last, relative to 1.
const SEVEN_DIGITS: f64 = 5.0e-7;

/// How many SI base units one of our units is by uom, and how exact uom is.
/// None for a unit that is not compared.
fn by_uom(kind: Kind, symbol: &str) -> Option<(f64, f64)> {
    let value = match kind {
        Kind::Length | Kind::Altitude => length_by_uom(symbol)?.value,
        Kind::Area | Kind::Section => return area_by_uom(symbol),
        Kind::Mass => return mass_by_uom(symbol).map(|(mass, digits)| (mass.value, digits)),
        Kind::LinearMass => {
            let (above, below) = symbol.split_once('/')?;
            let (mass, digits) = mass_by_uom(above)?;
            return Some(((mass / length_by_uom(below)?).value, digits));
        }
        Kind::Pressure if symbol == "psi" => {
            return Some((one!(Pressure, pressure::psi).value, SEVEN_DIGITS));
        }
        Kind::Pressure => pressure_by_uom(symbol)?.value,
        Kind::Resistance => resistance_by_uom(symbol)?.value,
        Kind::LinearResistance => {
            let (above, below) = symbol.split_once('/')?;
            (resistance_by_uom(above)? / length_by_uom(below)?).value
        }
        Kind::Power => power_by_uom(symbol)?.value,
        Kind::LinearPower => {
            let (above, below) = symbol.split_once('/')?;
            (power_by_uom(above)? / length_by_uom(below)?).value
        }
        Kind::Temperature => return None, // a test of its own, the zeros differ
        Kind::Torque => match symbol {
            "N m" => one!(Torque, torque::newton_meter).value,
            // The library prints these two with seven digits.
            "lb ft" => return Some((one!(Torque, torque::pound_force_foot).value, SEVEN_DIGITS)),
            "lb in" => return Some((one!(Torque, torque::pound_force_inch).value, SEVEN_DIGITS)),
            _ => return None,
        },
        Kind::Energy | Kind::Charge | Kind::Time => storage_by_uom(kind, symbol)?,
        Kind::Share | Kind::PlainNumber => match symbol {
            "" => one!(Ratio, ratio::ratio).value,
            "%" => one!(Ratio, ratio::percent).value,
            _ => return None,
        },
        Kind::Density
        | Kind::ThermalConductivity
        | Kind::ThermalResistance
        | Kind::ThermalConductance
        | Kind::VolumetricHeatCapacity
        | Kind::LinearHeatCapacity
        | Kind::TemperatureDifference
        | Kind::TemperatureCoefficient => matter_by_uom(kind, symbol)?,
        _ => electric_by_uom(kind, symbol)?,
    };
    Some((value, EXACT))
}

fn length_by_uom(symbol: &str) -> Option<q::Length> {
    Some(match symbol {
        "m" => one!(Length, length::meter),
        "cm" => one!(Length, length::centimeter),
        "mm" => one!(Length, length::millimeter),
        "um" => one!(Length, length::micrometer),
        "km" => one!(Length, length::kilometer),
        "in" => one!(Length, length::inch),
        "ft" => one!(Length, length::foot),
        "kft" => one!(Length, length::foot) * 1000.0,
        "yd" => one!(Length, length::yard),
        "mil" => one!(Length, length::mil),
        _ => return None,
    })
}

fn area_by_uom(symbol: &str) -> Option<(f64, f64)> {
    let (area, digits) = match symbol {
        "mm2" => (one!(Area, area::square_millimeter), EXACT),
        "cm2" => (one!(Area, area::square_centimeter), EXACT),
        "m2" => (one!(Area, area::square_meter), EXACT),
        "in2" => (one!(Area, area::square_inch), EXACT),
        "cmil" => (one!(Area, area::circular_mil), SEVEN_DIGITS),
        "kcmil" => (one!(Area, area::circular_mil) * 1000.0, SEVEN_DIGITS),
        _ => return None,
    };
    Some((area.value, digits))
}

fn mass_by_uom(symbol: &str) -> Option<(q::Mass, f64)> {
    Some(match symbol {
        "kg" => (one!(Mass, mass::kilogram), EXACT),
        "g" => (one!(Mass, mass::gram), EXACT),
        "lb" => (one!(Mass, mass::pound), SEVEN_DIGITS),
        "oz" => (one!(Mass, mass::ounce), SEVEN_DIGITS),
        _ => return None,
    })
}

fn pressure_by_uom(symbol: &str) -> Option<q::Pressure> {
    Some(match symbol {
        "Pa" => one!(Pressure, pressure::pascal),
        "hPa" => one!(Pressure, pressure::hectopascal),
        "kPa" => one!(Pressure, pressure::kilopascal),
        "MPa" => one!(Pressure, pressure::megapascal),
        "mbar" => one!(Pressure, pressure::millibar),
        "bar" => one!(Pressure, pressure::bar),
        _ => return None,
    })
}

fn resistance_by_uom(symbol: &str) -> Option<q::ElectricalResistance> {
    Some(match symbol {
        "ohm" => one!(ElectricalResistance, resistance::ohm),
        "mohm" => one!(ElectricalResistance, resistance::milliohm),
        "uohm" => one!(ElectricalResistance, resistance::microohm),
        "kohm" => one!(ElectricalResistance, resistance::kiloohm),
        "Mohm" => one!(ElectricalResistance, resistance::megaohm),
        "Gohm" => one!(ElectricalResistance, resistance::gigaohm),
        _ => return None,
    })
}

fn power_by_uom(symbol: &str) -> Option<q::Power> {
    Some(match symbol {
        "W" => one!(Power, power::watt),
        "mW" => one!(Power, power::milliwatt),
        "kW" => one!(Power, power::kilowatt),
        "MW" => one!(Power, power::megawatt),
        _ => return None,
    })
}

fn storage_by_uom(kind: Kind, symbol: &str) -> Option<f64> {
    Some(match (kind, symbol) {
        (Kind::Time, "s") => one!(Time, time::second).value,
        (Kind::Time, "ms") => one!(Time, time::millisecond).value,
        (Kind::Time, "us") => one!(Time, time::microsecond).value,
        (Kind::Time, "min") => one!(Time, time::minute).value,
        (Kind::Time, "h") => one!(Time, time::hour).value,
        (Kind::Energy, "J") => one!(Energy, energy::joule).value,
        (Kind::Energy, "mJ") => one!(Energy, energy::millijoule).value,
        (Kind::Energy, "kJ") => one!(Energy, energy::kilojoule).value,
        (Kind::Energy, "MJ") => one!(Energy, energy::megajoule).value,
        (Kind::Energy, "Wh") => one!(Energy, energy::watt_hour).value,
        (Kind::Energy, "kWh") => one!(Energy, energy::kilowatt_hour).value,
        (Kind::Charge, "C") => one!(ElectricCharge, electric_charge::coulomb).value,
        (Kind::Charge, "Ah") => one!(ElectricCharge, electric_charge::ampere_hour).value,
        (Kind::Charge, "mAh") => {
            let charge: q::ElectricCharge =
                one!(ElectricCurrent, electric_current::milliampere) * one!(Time, time::hour);
            charge.value
        }
        _ => return None,
    })
}

fn matter_by_uom(kind: Kind, symbol: &str) -> Option<f64> {
    let metre = one!(Length, length::meter);
    let kelvin = one!(TemperatureInterval, temperature_interval::kelvin);
    let watt = one!(Power, power::watt);
    Some(match (kind, symbol) {
        (Kind::TemperatureDifference, "K") => kelvin.value,
        (Kind::TemperatureCoefficient, "1/K") => {
            one!(TemperatureCoefficient, temperature_coefficient::per_kelvin).value
        }
        (Kind::TemperatureCoefficient, "%/K") => {
            let share: q::TemperatureCoefficient = one!(Ratio, ratio::percent) / kelvin;
            share.value
        }
        (Kind::Density, "kg/m3") => one!(MassDensity, mass_density::kilogram_per_cubic_meter).value,
        (Kind::Density, "g/cm3") => {
            one!(MassDensity, mass_density::gram_per_cubic_centimeter).value
        }
        (Kind::ThermalConductivity, "W/(m K)") => {
            one!(
                ThermalConductivity,
                thermal_conductivity::watt_per_meter_kelvin
            )
            .value
        }
        (Kind::ThermalResistance, "K m/W") => {
            let conductivity: q::ThermalConductivity = watt / (metre * kelvin);
            1.0 / conductivity.value
        }
        (Kind::ThermalConductance, "W/K") => {
            let conductance: q::ThermalConductance = watt / kelvin;
            conductance.value
        }
        (Kind::VolumetricHeatCapacity, "J/(m3 K)") => {
            one!(
                VolumetricHeatCapacity,
                volumetric_heat_capacity::joule_per_cubic_meter_kelvin
            )
            .value
        }
        (Kind::VolumetricHeatCapacity, "MJ/(m3 K)") => {
            let capacity: q::VolumetricHeatCapacity =
                one!(Energy, energy::megajoule) / (metre * metre * metre * kelvin);
            capacity.value
        }
        (Kind::LinearHeatCapacity, "J/(m K)") => {
            (one!(HeatCapacity, heat_capacity::joule_per_kelvin) / metre).value
        }
        _ => return None,
    })
}

fn electric_by_uom(kind: Kind, symbol: &str) -> Option<f64> {
    let joule_integral = |current: q::ElectricCurrent| current * current * one!(Time, time::second);
    Some(match (kind, symbol) {
        (Kind::Current, "A") => one!(ElectricCurrent, electric_current::ampere).value,
        (Kind::Current, "mA") => one!(ElectricCurrent, electric_current::milliampere).value,
        (Kind::Current, "kA") => one!(ElectricCurrent, electric_current::kiloampere).value,
        (Kind::Voltage, "V") => one!(ElectricPotential, electric_potential::volt).value,
        (Kind::Voltage, "mV") => one!(ElectricPotential, electric_potential::millivolt).value,
        (Kind::Voltage, "kV") => one!(ElectricPotential, electric_potential::kilovolt).value,
        (Kind::CurrentSquaredTime, "A2s") => {
            joule_integral(one!(ElectricCurrent, electric_current::ampere)).value
        }
        (Kind::CurrentSquaredTime, "k(A2s)") => {
            1000.0 * joule_integral(one!(ElectricCurrent, electric_current::ampere)).value
        }
        (Kind::CurrentSquaredTime, "(kA)2s") => {
            joule_integral(one!(ElectricCurrent, electric_current::kiloampere)).value
        }
        (Kind::Resistivity, "ohm m") => one!(ElectricalResistivity, resistivity::ohm_meter).value,
        (Kind::Resistivity, "ohm mm2/m") => {
            let resistivity: q::ElectricalResistivity = one!(ElectricalResistance, resistance::ohm)
                * one!(Area, area::square_millimeter)
                / one!(Length, length::meter);
            resistivity.value
        }
        (Kind::Capacitance, "F") => one!(Capacitance, capacitance::farad).value,
        (Kind::Capacitance, "mF") => one!(Capacitance, capacitance::millifarad).value,
        (Kind::Capacitance, "uF") => one!(Capacitance, capacitance::microfarad).value,
        (Kind::Capacitance, "nF") => one!(Capacitance, capacitance::nanofarad).value,
        (Kind::Capacitance, "pF") => one!(Capacitance, capacitance::picofarad).value,
        (Kind::Inductance, "H") => one!(Inductance, inductance::henry).value,
        (Kind::Inductance, "mH") => one!(Inductance, inductance::millihenry).value,
        (Kind::Inductance, "uH") => one!(Inductance, inductance::microhenry).value,
        (Kind::Inductance, "nH") => one!(Inductance, inductance::nanohenry).value,
        (Kind::Frequency, "Hz") => one!(Frequency, frequency::hertz).value,
        (Kind::Frequency, "kHz") => one!(Frequency, frequency::kilohertz).value,
        (Kind::Frequency, "MHz") => one!(Frequency, frequency::megahertz).value,
        _ => return None,
    })
}

#[test]
fn every_factor_agrees() {
    let kinds = Kind::ALL.iter().filter(|kind| **kind != Kind::Temperature);
    for &kind in kinds {
        // Areas are stored in mm2, everything else in the SI base unit.
        let stored_per_base = match kind {
            Kind::Area | Kind::Section => 1.0e6,
            _ => 1.0,
        };
        for unit in kind.units() {
            let (base, tolerance) = by_uom(kind, unit.symbol)
                .unwrap_or_else(|| panic!("{kind:?} {} is not compared", unit.symbol));
            let error = (unit.factor / (base * stored_per_base) - 1.0).abs();
            assert!(error <= tolerance, "{kind:?} {}: {error:e}", unit.symbol);
            assert!(
                unit.zero.abs() < f64::MIN_POSITIVE,
                "{kind:?} {}",
                unit.symbol
            );
        }
    }
}

#[test]
fn every_temperature_scale_agrees() {
    use thermodynamic_temperature as t;
    type Scale = q::ThermodynamicTemperature;
    for unit in Kind::Temperature.units() {
        for reading in [-40.0, 0.0, 32.0, 85.0, 185.0, 1000.0] {
            let kelvin = match unit.symbol {
                "degC" => Scale::new::<t::degree_celsius>(reading),
                "degF" => Scale::new::<t::degree_fahrenheit>(reading),
                "K" => Scale::new::<t::kelvin>(reading),
                other => panic!("{other} is not compared"),
            }
            .get::<t::kelvin>();
            let ours = unit.to_stored(reading) + 273.15;
            // Both are sums of a few f64 of the size of 1000.
            assert!(
                (ours - kelvin).abs() < 1.0e-11,
                "{reading} {}: {ours} is not {kelvin}",
                unit.symbol
            );
        }
    }
}

mod products {
    use super::{
        area, capacitance, electric_charge, electric_current, electric_potential, energy, length,
        mass, power, q, ratio, resistance, temperature_interval, thermodynamic_temperature as t,
        time,
    };
    use core::fmt::Debug;
    use orangeloom_core::error::Error;
    use orangeloom_core::quantity as ours;

    /// A product is one multiplication, for areas two, and one rounded constant:
    /// three half steps of f32. Multiplying a quotient back adds as many.
    const ROUNDING: f64 = 3.0 * f32::EPSILON as f64;

    /// An own quantity as a number in the SI base unit.
    trait Si: Copy + Debug + TryFrom<f32, Error = Error> + Into<f32> {
        /// SI base units in one stored unit.
        const BASE: f64;
        /// Everyday sizes; their products are within every bound.
        const SIZES: [f32; 3];

        fn si(self) -> f64 {
            f64::from(self.into()) * Self::BASE
        }
    }

    macro_rules! si {
        ($($($name:ident)*: $base:literal, $sizes:expr;)*) => {
            $( $(
                impl Si for ours::$name {
                    const BASE: f64 = $base;
                    const SIZES: [f32; 3] = $sizes;
                }
            )* )*
        };
    }

    si! {
        Current CurrentSquared CurrentSquaredTime Voltage Power LinearPower Energy Charge
        Capacitance Inductance Time Mass LinearMass TemperatureDifference ThermalConductance
        ThermalResistance LinearHeatCapacity: 1.0, [0.37, 1.0, 41.5];
        Resistance: 1.0, [9.0e-4, 0.51, 12.0];
        Length: 1.0, [0.0037, 0.37, 0.83];
        Area ConductorArea: 1.0e-6, [0.37, 70.0, 415.0];
        LinearResistance: 1.0, [0.01, 0.05, 0.3];
        Resistivity: 1.0, [1.724e-8, 2.8e-8, 1.0e-6];
        Density: 1.0, [920.0, 2700.0, 8890.0];
        VolumetricHeatCapacity: 1.0, [1.8e6, 2.5e6, 3.45e6];
    }

    /// Our product of every pair of sizes, and both quotients, against the
    /// product that `by_uom` gives for the SI values.
    fn compare<A: Si, B: Si, C: Si>(
        product: impl Fn(A, B) -> Result<C, Error>,
        over_left: impl Fn(C, A) -> Result<B, Error>,
        over_right: impl Fn(C, B) -> Result<A, Error>,
        by_uom: impl Fn(f64, f64) -> f64,
    ) {
        let near = |read: f64, right: f64| {
            let error = (read / right - 1.0).abs();
            assert!(error <= ROUNDING, "{read:e} is not {right:e}: {error:e}");
        };
        for a in A::SIZES {
            for b in B::SIZES {
                let (a, b) = (A::try_from(a).unwrap(), B::try_from(b).unwrap());
                let c = product(a, b).unwrap_or_else(|e| panic!("{a:?} * {b:?}: {e}"));
                near(c.si(), by_uom(a.si(), b.si()));
                // A quotient is right if multiplying back gives the dividend.
                near(by_uom(a.si(), over_left(c, a).unwrap().si()), c.si());
                near(by_uom(over_right(c, b).unwrap().si(), b.si()), c.si());
            }
        }
    }

    fn ampere() -> q::ElectricCurrent {
        one!(ElectricCurrent, electric_current::ampere)
    }
    fn ohm() -> q::ElectricalResistance {
        one!(ElectricalResistance, resistance::ohm)
    }
    fn volt() -> q::ElectricPotential {
        one!(ElectricPotential, electric_potential::volt)
    }
    fn second() -> q::Time {
        one!(Time, time::second)
    }
    fn metre() -> q::Length {
        one!(Length, length::meter)
    }
    fn square_metre() -> q::Area {
        one!(Area, area::square_meter)
    }
    fn coulomb() -> q::ElectricCharge {
        one!(ElectricCharge, electric_charge::coulomb)
    }
    fn farad() -> q::Capacitance {
        one!(Capacitance, capacitance::farad)
    }
    fn watt() -> q::Power {
        one!(Power, power::watt)
    }
    fn joule() -> q::Energy {
        one!(Energy, energy::joule)
    }
    fn kelvin() -> q::TemperatureInterval {
        one!(TemperatureInterval, temperature_interval::kelvin)
    }
    fn kilogram() -> q::Mass {
        one!(Mass, mass::kilogram)
    }

    /// One line of the product table, both ways round. On the side of uom each
    /// factor is one of its unit and the result, times a further factor where the
    /// plain result has no name in uom, has to be of the stated type: a product
    /// with another dimension than its name does not compile.
    macro_rules! agrees {
        ($test:ident: $a:ident ($ua:expr) * $b:ident ($ub:expr) $(* $more:expr)?
            => $c:ident ($uc:ident)) => {
            #[test]
            fn $test() {
                let by_uom = |a: f64, b: f64| {
                    let product: q::$uc = ($ua * a) * ($ub * b) $(* $more)?;
                    product.value
                };
                compare::<ours::$a, ours::$b, ours::$c>(
                    |a, b| a * b,
                    |c, a| c / a,
                    |c, b| c / b,
                    by_uom,
                );
                compare::<ours::$b, ours::$a, ours::$c>(
                    |b, a| b * a,
                    |c, b| c / b,
                    |c, a| c / a,
                    |b, a| by_uom(a, b),
                );
            }
        };
    }

    agrees!(voltage_over_a_resistance:
        Current(ampere()) * Resistance(ohm()) => Voltage(ElectricPotential));
    agrees!(power_of_a_current: Current(ampere()) * Voltage(volt()) => Power(Power));
    agrees!(current_squared:
        Current(ampere()) * Current(ampere()) * ohm() => CurrentSquared(Power));
    agrees!(heat_of_a_resistance:
        CurrentSquared(ampere() * ampere()) * Resistance(ohm()) => Power(Power));
    agrees!(heat_per_length:
        CurrentSquared(ampere() * ampere()) * LinearResistance(ohm() / metre()) * metre()
        => LinearPower(Power));
    agrees!(joule_integral:
        CurrentSquared(ampere() * ampere()) * Time(second()) * ohm()
        => CurrentSquaredTime(Energy));
    agrees!(charge_of_a_current: Current(ampere()) * Time(second()) => Charge(ElectricCharge));
    agrees!(charge_of_a_capacitor:
        Capacitance(farad()) * Voltage(volt()) => Charge(ElectricCharge));
    agrees!(energy_of_a_charge: Charge(coulomb()) * Voltage(volt()) => Energy(Energy));
    agrees!(energy_of_a_power: Power(watt()) * Time(second()) => Energy(Energy));
    agrees!(power_of_a_length: LinearPower(watt() / metre()) * Length(metre()) => Power(Power));
    agrees!(resistance_of_a_length:
        LinearResistance(ohm() / metre()) * Length(metre()) => Resistance(ElectricalResistance));
    agrees!(time_constant_of_a_capacitor: Resistance(ohm()) * Capacitance(farad()) => Time(Time));
    agrees!(inductance_of_a_time_constant:
        Resistance(ohm()) * Time(second()) => Inductance(Inductance));
    agrees!(length_squared: Length(metre()) * Length(metre()) => Area(Area));
    agrees!(mass_of_a_length: LinearMass(kilogram() / metre()) * Length(metre()) => Mass(Mass));
    agrees!(mass_per_length_of_an_area:
        Density(kilogram() / (square_metre() * metre())) * Area(square_metre())
        => LinearMass(LinearMassDensity));
    agrees!(heat_capacity_per_length_of_an_area:
        VolumetricHeatCapacity(joule() / (square_metre() * metre() * kelvin()))
        * Area(square_metre()) * metre() => LinearHeatCapacity(HeatCapacity));
    agrees!(rise_over_a_thermal_resistance:
        LinearPower(watt() / metre()) * ThermalResistance(kelvin() * metre() / watt())
        => TemperatureDifference(TemperatureInterval));
    agrees!(heat_flow_of_a_difference:
        ThermalConductance(watt() / kelvin()) * TemperatureDifference(kelvin()) => Power(Power));
    agrees!(resistivity_of_a_conductor:
        LinearResistance(ohm() / metre()) * ConductorArea(square_metre())
        => Resistivity(ElectricalResistivity));

    #[test]
    fn every_line_of_the_table_is_compared() {
        let table = include_str!("../../core/src/quantity/products.rs");
        let lines = table
            .lines()
            .filter(|line| line.starts_with("product!(") && !line.contains('@'))
            .count();
        let compared = include_str!("units_against_uom.rs")
            .lines()
            .filter(|line| line.trim_start().starts_with("agrees!("))
            .count();
        assert_eq!(lines, compared);
    }

    #[test]
    fn a_share_keeps_the_kind() {
        let half = ours::Share::from_percent(50.0).unwrap();
        macro_rules! check {
            ($($name:ident: $unit:expr;)*) => {
                $(
                    let whole = ours::$name::try_from(41.5).unwrap();
                    let part = $unit * 41.5 * one!(Ratio, ratio::percent) * 50.0;
                    let error = ((whole * half).unwrap().si() / part.value - 1.0).abs();
                    assert!(error <= ROUNDING, stringify!($name));
                )*
            };
        }
        check! {
            Voltage: volt();
            Current: ampere();
            Power: watt();
            Energy: joule();
            Charge: coulomb();
            Length: metre();
        }
    }

    #[test]
    fn points_and_differences_of_temperature() {
        let low = q::ThermodynamicTemperature::new::<t::degree_celsius>(20.0);
        let rise = q::TemperatureInterval::new::<temperature_interval::kelvin>(65.0);
        let high = (low + rise).get::<t::degree_celsius>();
        let own_low = ours::Temperature::from_degc(20.0).unwrap();
        let own_rise = ours::TemperatureDifference::from_kelvin(65.0).unwrap();
        let own_high = (own_low + own_rise).unwrap();
        // uom goes through kelvin in f64.
        assert!((f64::from(own_high.as_degc()) - high).abs() < 1.0e-12 * 273.15);
        assert_eq!((own_high - own_low).unwrap(), own_rise);
        assert_eq!((own_high - own_rise).unwrap(), own_low);
    }
}
