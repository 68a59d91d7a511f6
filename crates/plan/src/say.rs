//! Figures as people read them.

use ampwright_electrics::conductor::Size;

/// `8.2 A`, `80 A`, `0.45 A`.
pub fn amps(value: f64) -> String {
    figure(value, "A")
}

/// `0.127 V`, `11.4 V`.
pub fn volts(value: f64) -> String {
    if value.abs() < 2.0 {
        format!("{value:.3} V")
    } else {
        format!("{value:.2} V")
    }
}

/// `4.88 %`.
pub fn percent(value: f64) -> String {
    format!("{} %", trim(format!("{value:.2}")))
}

/// `7.55 m`.
pub fn metres(value: f64) -> String {
    format!("{} m", trim(format!("{value:.3}")))
}

/// `12 V`.
pub fn nominal(value: f64) -> String {
    format!("{} V", trim(format!("{value:.2}")))
}

/// `16 mm²`, `2/0 AWG`.
pub fn size(size: Size) -> String {
    match size {
        Size::Mm2(area) => format!("{area} mm²"),
        Size::Awg(number) if number <= 0 => format!("{}/0 AWG", 1 - i32::from(number)),
        Size::Awg(number) => format!("{number} AWG"),
    }
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
    format!("{} {unit}", trim(format!("{value:.places$}")))
}

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
        assert_eq!(volts(0.126_936), "0.127 V");
        assert_eq!(percent(10.0), "10 %");
        assert_eq!(size(Size::Awg(-1)), "2/0 AWG");
        assert_eq!(size(Size::Mm2(2.5)), "2.5 mm²");
    }
}
