//! Published values.

use orangeloom_core::quantity::{
    Altitude, ComparativeTrackingIndex, ConductorArea, Length, Temperature, Voltage,
};
use orangeloom_core::standard::awg::{
    AmericanSize, Gauge, kcmil_area, strand_allowance, strand_resistance_20, strand_source,
};
use orangeloom_core::standard::grouping::{GroupingRow, grouping_factor};
use orangeloom_core::standard::iec60228::{
    self, CLASS_5_COPPER, ConductorClass, ResistanceTable, class_5_strand_diameter, table,
};
use orangeloom_core::standard::iec60287::{InAir, Tube};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree, rated_impulse,
    reinforced_impulse_v,
};
use orangeloom_core::standard::iec60664_altitude::altitude_correction;
use orangeloom_core::standard::iec60664_clearance::{impulse_clearance, peak_clearance};
use orangeloom_core::standard::iec60664_creepage::{
    Surface, creepage_distance, groove_width, not_recommended, rib_counted_at,
};
use orangeloom_core::standard::insulation::Compound;
use orangeloom_core::standard::iso6722;
use orangeloom_core::standard::metal::Metal;
use orangeloom_core::standard::short_circuit::{HeatedMetal, KCase, k_factor, printed_k};

use super::{Visit, accepted};

/// Calls of `standard`.
pub fn all(visit: &mut impl Visit) {
    const MM2_70: ConductorArea = accepted(ConductorArea::from_mm2(70.0));
    const MM_20: Length = accepted(Length::from_mm(20.0));
    const WARM: Temperature = accepted(Temperature::from_degc(90.0));
    const HOT: Temperature = accepted(Temperature::from_degc(250.0));
    const GAUGE: Gauge = accepted(Gauge::new(-1));

    visit.call("iec60228/resistance_20", MM2_70, |section| {
        iec60228::resistance_20(ConductorClass::Class5, Metal::Copper, *section)
    });
    visit.brief(
        (ConductorClass::Class2, Metal::TinnedCopper, MM2_70),
        |(class, metal, section)| iec60228::resistance_20(*class, *metal, *section),
    );
    visit.brief(
        (ConductorClass::Class5, Metal::Aluminium, MM2_70),
        |(class, metal, section)| {
            let all = |table: &ResistanceTable| {
                (
                    table.sections().count(),
                    table.next_larger(*section),
                    table.next_smaller(*section),
                )
            };
            table(*class, *metal).map(all)
        },
    );
    visit.call("iec60228/next_larger", MM2_70, |section| {
        CLASS_5_COPPER.next_larger(*section)
    });
    visit.brief(MM2_70, |section| class_5_strand_diameter(*section));

    visit.brief((Metal::Copper, MM2_70), |(metal, section)| {
        iso6722::resistance_20(*metal, *section)
    });
    visit.brief(MM2_70, |section| iso6722::conductor_diameter(*section));
    visit.brief((), |()| iso6722::sections().count());
    visit.brief(MM2_70, |section| {
        (
            iso6722::next_larger(*section),
            iso6722::next_smaller(*section),
        )
    });

    visit.brief(2_i8, |number| Gauge::new(*number).map(Gauge::number));
    visit.brief(GAUGE, |gauge| gauge.diameter());
    visit.brief(GAUGE, |gauge| gauge.area());
    visit.brief(250.0_f32, |kcmil| kcmil_area(*kcmil));
    visit.call("awg/area", AmericanSize::Awg(GAUGE), |size| size.area());
    visit.brief(AmericanSize::Kcmil(250), |size| AmericanSize::area(*size));
    visit.brief(Metal::Copper, |metal| {
        (strand_allowance(*metal), strand_source(*metal))
    });
    visit.call(
        "awg/strand_resistance_20",
        (Metal::Copper, MM2_70),
        |(metal, area)| strand_resistance_20(*metal, *area),
    );

    visit.call(
        "grouping/factor",
        (GroupingRow::Bunched, 3),
        |(row, circuits)| grouping_factor(*row, *circuits),
    );
    visit.brief(GroupingRow::Ladder, |row| *row.factors());

    visit.brief(InAir::Trefoil, |row| row.constants());
    visit.call(
        "iec60287/heat_dissipation",
        (InAir::SingleFree, MM_20),
        |(row, diameter)| row.heat_dissipation(*diameter),
    );
    visit.brief(Tube::Plastic, |tube| tube.constants());

    visit.brief(Metal::Aluminium, |metal| {
        (metal.resistivity_20(), metal.word())
    });
    visit.brief(Metal::Aluminium, |metal| {
        (metal.temperature_coefficient_20(), metal.beta())
    });
    visit.brief(Metal::Aluminium, |metal| {
        (metal.heat_capacity(), metal.density())
    });
    visit.brief(Metal::Aluminium, |metal| metal.thermal_conductivity());
    visit.brief(Compound::Xlpe, |compound| {
        (
            compound.thermal_conductivity(),
            compound.heat_capacity(),
            compound.density(),
        )
    });

    visit.brief((HeatedMetal::Copper, KCase::CorePvc), |(metal, case)| {
        printed_k(*metal, *case)
    });
    visit.brief((HeatedMetal::Lead, WARM, HOT), |(metal, start, end)| {
        k_factor(HeatedMetal::constants(*metal), *start, *end)
    });
    visit.brief(HeatedMetal::Lead, |metal| metal.word());

    of_insulation(visit);
}

fn of_insulation(visit: &mut impl Visit) {
    const VOLTS: Voltage = accepted(Voltage::from_volts(420.0));
    const MM_4: Length = accepted(Length::from_mm(4.0));
    const DEGREE: PollutionDegree = PollutionDegree::Three;

    visit.brief(Insulation::Basic, |insulation| insulation.word());
    visit.brief(DEGREE, |degree| degree.number());
    visit.brief(
        accepted(ComparativeTrackingIndex::from_index(250.0)),
        |index| {
            let group = MaterialGroup::from_cti(*index);
            (ComparativeTrackingIndex::as_index(*index), group.word())
        },
    );
    visit.brief(OvervoltageCategory::Two, |category| category.word());
    visit.brief(VOLTS, |system| {
        rated_impulse(*system, OvervoltageCategory::Two)
    });
    visit.brief(4000.0_f32, |basic_v| reinforced_impulse_v(*basic_v));
    visit.call(
        "iec60664/altitude_correction",
        accepted(Altitude::from_metres(3500.0)),
        |altitude| altitude_correction(*altitude),
    );
    visit.brief(VOLTS, |impulse| impulse_clearance(*impulse, DEGREE));
    visit.brief(VOLTS, |peak| peak_clearance(*peak));
    visit.brief((VOLTS, MaterialGroup::Ii), |(working, group)| {
        creepage_distance(*working, DEGREE, *group, Surface::Ribbed)
    });
    visit.brief((VOLTS, MaterialGroup::Iiib), |(working, group)| {
        not_recommended(*working, DEGREE, *group)
    });
    visit.brief((VOLTS, MaterialGroup::Ii), |(working, group)| {
        rib_counted_at(*working, *group)
    });
    visit.brief(MM_4, |clearance| groove_width(DEGREE, *clearance));
}
