//! Figures as people read them.

use ampwright_electrics::conductor::Size;

/// `8.2 A`, `80 A`, `0.45 A`.
pub fn amps(value: f64) -> String {
    figure(value, "A")
}

/// `0.127 V`, `11.4 V`.
pub fn volts(value: f64) -> String {
    let places = if value.abs() < 2.0 { 3 } else { 2 };
    format!("{} V", fixed(value, places))
}

/// Two voltages with as many places as it takes to tell them apart.
pub fn volts_apart(one: f64, other: f64) -> (String, String) {
    let plain = (volts(one), volts(other));
    if plain.0 != plain.1 {
        return plain;
    }
    let fine = |value: f64| format!("{} V", fixed(value, 4));
    (fine(one), fine(other))
}

/// `4.88 %`.
pub fn percent(value: f64) -> String {
    format!("{} %", trim(fixed(value, 2)))
}

/// `7.55 m`.
pub fn metres(value: f64) -> String {
    format!("{} m", trim(fixed(value, 3)))
}

/// `100`, `7.5`.
pub fn number(value: f64) -> String {
    trim(fixed(value, 2))
}

/// `-20 °C`.
pub fn celsius(value: f64) -> String {
    format!("{} °C", number(value))
}

/// `0.08 s`, `35 s`, `4 min`, `1 h`.
pub fn seconds(value: f64) -> String {
    if value >= 3600.0 {
        figure(value / 3600.0, "h")
    } else if value >= 120.0 {
        figure(value / 60.0, "min")
    } else if value < 0.1 {
        figure(value * 1000.0, "ms")
    } else {
        figure(value, "s")
    }
}

/// `12 V`.
pub fn nominal(value: f64) -> String {
    format!("{} V", trim(fixed(value, 2)))
}

/// `16 mm²`, `2/0 AWG`.
pub fn size(size: Size) -> String {
    match size {
        Size::Mm2(area) => format!("{area} mm²"),
        Size::Awg(number) if number <= 0 => format!("{}/0 AWG", 1 - i32::from(number)),
        Size::Awg(number) => format!("{number} AWG"),
    }
}

/// `2.3 days`, `14 days`, `1 day`; by the hour below one: `18 h`.
pub fn days(value: f64) -> String {
    if value < 0.95 {
        return figure(value * 24.0, "h");
    }
    let text = trim(fixed(value, usize::from(value < 9.95)));
    let unit = if text == "1" { "day" } else { "days" };
    format!("{text} {unit}")
}

/// A number to three significant figures, no trailing noughts, and its unit.
pub fn figure(value: f64, unit: &str) -> String {
    let places = if value.abs() >= 100.0 {
        0
    } else if value.abs() >= 10.0 {
        1
    } else {
        2
    };
    format!("{} {unit}", trim(fixed(value, places)))
}

/// A plan that claims the impossible is still answered in a line, and no figure is a negative nought.
fn fixed(value: f64, places: usize) -> String {
    if value.is_infinite() {
        return if value > 0.0 { "∞" } else { "-∞" }.to_owned();
    }
    if value.abs() >= HUGE {
        return format!("{value:.0e}");
    }
    format!("{:.places$}", rounded(value, places) + 0.0)
}

/// Half up, as people round: 0.1265 V is 0.127 V, though the nearest number that a machine has for
/// it lies below the half. Figures are taken to a millionth first.
fn rounded(value: f64, places: usize) -> f64 {
    let unit = 1e6 / 10f64.powi(i32::try_from(places).unwrap_or(6));
    let millionths = (value.abs() * 1e6).round();
    ((millionths / unit + 0.5).floor() * unit / 1e6).copysign(value)
}

/// Nothing on board is as large.
const HUGE: f64 = 1e9;

fn trim(text: String) -> String {
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_read_as_people_write_them() {
        assert_eq!(amps(8.2), "8.2 A");
        assert_eq!(amps(102.0), "102 A");
        assert_eq!(amps(80.0), "80 A");
        assert_eq!(amps(0.833_333), "0.83 A");
        assert_eq!(amps(-0.0), "0 A");
        assert_eq!(amps(1e308), "1e308 A");
        assert_eq!(days(2.304), "2.3 days");
        assert_eq!(days(14.2), "14 days");
        assert_eq!(days(1.02), "1 day");
        assert_eq!(days(0.5), "12 h");
        assert_eq!(percent(f64::INFINITY), "∞ %");
        assert_eq!(volts(0.126_936), "0.127 V");
        assert_eq!(volts(0.126_5), "0.127 V");
        assert_eq!(volts(-0.126_5), "-0.127 V");
        assert_eq!(volts(11.0 * 0.011_5), "0.127 V");
        assert_eq!(amps(2.675), "2.68 A");
        assert_eq!(volts(0.126_499), "0.126 V");
        assert_eq!(percent(10.0), "10 %");
        assert_eq!(seconds(0.0827), "82.7 ms");
        assert_eq!(seconds(35.0), "35 s");
        assert_eq!(seconds(240.0), "4 min");
        assert_eq!(seconds(f64::INFINITY), "∞ h");
        assert_eq!(size(Size::Awg(-1)), "2/0 AWG");
        assert_eq!(size(Size::Mm2(2.5)), "2.5 mm²");
    }
}
