//! Numbers: the same in other units, and the sizes that are made next to a size.

use ampwright_electrics::conductor::{self, AwgAreas};
use ampwright_notation::units::{Dimension, Quantity, Size, Unit, plain};
use ampwright_plan::{Plan, say, wiring::follow_size};

use crate::{doc::Doc, phrase};

/// A quantity in the other units that people use for it.
pub(super) fn doc(quantity: &Quantity) -> Doc {
    equal(quantity, &others(quantity))
}

/// What is drawn, also as power or current at the boat's voltage.
pub(super) fn drawn(plan: &Plan, quantity: &Quantity) -> Doc {
    let mut others = others(quantity);
    let system = plan.study.base.system;
    let at = match quantity.dimension {
        Dimension::Power if system > 0.0 => Some(phrase::amps(quantity.value / system)),
        Dimension::Current if system > 0.0 => Some(say::figure(quantity.value * system, "W")),
        _ => None,
    };
    others.extend(at.map(|at| format!("{at} at {}", say::nominal(system))));
    equal(quantity, &others)
}

fn others(quantity: &Quantity) -> Vec<String> {
    units(quantity.dimension)
        .iter()
        .filter(|unit| **unit != quantity.unit)
        .map(|unit| say::figure(unit.from_base(quantity.value), unit.printed()))
        .collect()
}

fn equal(quantity: &Quantity, others: &[String]) -> Doc {
    let mut doc = Doc::default();
    if !others.is_empty() {
        doc.say(format!("{} = {}", quantity.printed(), others.join(" = ")));
    }
    doc
}

/// The units worth showing side by side.
const fn units(dimension: Dimension) -> &'static [Unit] {
    match dimension {
        Dimension::Length => &[Unit::Metre, Unit::Foot, Unit::Inch],
        Dimension::Temperature => &[Unit::DegreeCelsius, Unit::DegreeFahrenheit],
        Dimension::Resistance => &[Unit::Ohm, Unit::Milliohm],
        Dimension::Daily => &[Unit::HourPerDay, Unit::MinutePerDay],
        Dimension::Energy => &[Unit::WattHour, Unit::KilowattHour],
        _ => &[],
    }
}

/// A size in the other series, and its neighbours in its own.
pub(super) fn size(size: Size) -> Doc {
    let mut doc = Doc::default();
    let own = follow_size(size);
    let unmade = (!conductor::is_standard(own)).then(|| "not a size that is made".to_owned());
    let said: Vec<String> = [unmade, across(size), neighbours(own)]
        .into_iter()
        .flatten()
        .collect();
    doc.say(format!("{}: {}.", size.printed(), said.join("; ")));
    doc
}

/// A metric size's nearest gauge, a gauge's area.
fn across(size: Size) -> Option<String> {
    let Size::Mm2(wanted) = size else {
        let area = (size.area() * 1000.0).round() / 1000.0;
        return Some(format!("{} mm² by ASTM B258", plain(area)));
    };
    let area = |gauge: conductor::Size| conductor::area(gauge, AwgAreas::Astm);
    let away = |gauge: conductor::Size| (area(gauge).0.ln() - wanted.ln()).abs();
    let gauges = conductor::AWG_SIZES
        .iter()
        .map(|&gauge| conductor::Size::Awg(gauge));
    let nearest = gauges.min_by(|a, b| away(*a).total_cmp(&away(*b)))?;
    Some(format!(
        "nearest to {} ({})",
        say::size(nearest),
        area(nearest)
    ))
}

fn neighbours(size: conductor::Size) -> Option<String> {
    let (below, above) = conductor::nearest(size);
    let made: Vec<String> = [below, above]
        .into_iter()
        .flatten()
        .map(say::size)
        .collect();
    (!made.is_empty()).then(|| format!("made next to it: {}", made.join(" and ")))
}
