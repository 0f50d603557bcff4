//! How results are written: the unit and decimals for each kind, in metric or imperial.

use airpath::build::{Build, Turbocharger};
use airpath::fields::Field;
use airpath::quantity::{Kind, System, Unit, write_number};

/// A no-break space, so that a number and its unit stay on one line.
pub const TIE: char = '\u{a0}';

/// The unit and decimals that results of one kind are written in.
#[derive(Clone, Copy)]
pub struct Shown {
    /// The unit.
    pub unit: &'static Unit,
    /// Decimals.
    pub decimals: u8,
}

impl Shown {
    /// The number alone: thousands set apart by commas, a true minus sign.
    pub fn number(&self, si: f64) -> String {
        group(&write_number(si, self.unit, self.decimals))
    }

    /// The number with its unit.
    pub fn text(&self, si: f64) -> String {
        match self.unit.symbol {
            "" => self.number(si),
            symbol => format!("{}{TIE}{symbol}", self.number(si)),
        }
    }
}

/// A turbocharger by its name and its compressor wheel, as lists to choose from have it.
pub fn named_with_sizes(turbocharger: &Turbocharger) -> String {
    let wheel = &turbocharger.compressor.wheel;
    format!(
        "{}, {:.0}/{:.0} mm",
        turbocharger.name,
        wheel.inducer_m * 1e3,
        wheel.exducer_m * 1e3
    )
}

/// Moments of inertia of rotors: so small that the table's own unit would be all zeros.
pub fn shown_inertia() -> Shown {
    Shown {
        unit: Kind::Inertia
            .unit("g cm²")
            .unwrap_or_else(|| Kind::Inertia.metric()),
        decimals: 0,
    }
}

/// The units that results are written in: metric or imperial, but pressure and power as the goal
/// was typed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Units {
    /// Metric or imperial.
    pub system: System,
    pressure: Option<&'static Unit>,
    power: Option<&'static Unit>,
}

impl Units {
    /// Plainly metric or imperial.
    pub fn new(system: System) -> Self {
        Self {
            system,
            pressure: None,
            power: None,
        }
    }

    /// The same, but where the goal was typed in another unit than the table's, in that one.
    pub fn of(build: &Build, system: System) -> Self {
        let typed = |field: Field| {
            build
                .entry(field)
                .map(|e| e.unit)
                .filter(|u| *u != field.spec().unit())
        };
        Self {
            system,
            pressure: typed(Field::BoostTarget),
            power: typed(Field::PowerTarget),
        }
    }

    fn unit(self, kind: Kind) -> &'static Unit {
        let typed = match kind {
            Kind::GaugePressure => self.pressure,
            Kind::AbsolutePressure => self.pressure.and_then(|u| kind.unit(u.symbol)),
            Kind::Power => self.power,
            _ => None,
        };
        typed.unwrap_or(match self.system {
            System::Imperial => kind.imperial(),
            _ => kind.metric(),
        })
    }
}

/// How results of a kind are written.
pub fn shown(kind: Kind, units: Units) -> Shown {
    let unit = units.unit(kind);
    let imperial = unit.system == System::Imperial;
    let decimals = match (kind, imperial) {
        (Kind::GaugePressure | Kind::AbsolutePressure, _) => {
            // As many as make a hundredth of a bar.
            if unit.symbol == "bar" {
                2
            } else {
                unit.decimals.min(1)
            }
        }
        (Kind::PressureDifference, false) => 1,
        (Kind::MassFlow, false) => 3,
        (Kind::MassFlow, true) => 1,
        (Kind::Power | Kind::Temperature | Kind::TemperatureDifference | Kind::Fraction, _) => 0,
        _ => unit.decimals,
    };
    Shown { unit, decimals }
}

/// A share as a whole number of per cent.
pub fn percent(share: f64) -> String {
    format!(
        "{}{TIE}%",
        shown(Kind::Fraction, Units::new(System::Metric)).number(share)
    )
}

/// An engine or shaft speed given in rev/min, to the nearest `step`, without its unit.
pub fn speed(rev_min: f64, step: f64) -> String {
    group(&format!("{:.0}", (rev_min / step).round() * step))
}

/// Commas between thousands and a true minus sign.
pub fn group(number: &str) -> String {
    let (sign, digits) = match number.strip_prefix('-') {
        Some(rest) => ("−", rest),
        None => ("", number),
    };
    let (whole, rest) = digits.split_at(digits.find('.').unwrap_or(digits.len()));
    if whole.len() < 4 || !whole.bytes().all(|b| b.is_ascii_digit()) {
        return format!("{sign}{digits}");
    }
    let mut grouped = String::with_capacity(digits.len() + 4);
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}{grouped}{rest}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(group("999"), "999");
        assert_eq!(group("7200"), "7,200");
        assert_eq!(group("-111800.5"), "−111,800.5");
        assert_eq!(group("1234567"), "1,234,567");
        assert_eq!(group("not finite"), "not finite");
    }

    #[test]
    fn results_follow_the_choice_of_units() {
        assert_eq!(
            shown(Kind::Power, Units::new(System::Metric)).text(232_400.0),
            "232\u{a0}kW"
        );
        // 232.4 kW over 0.745 699 871 582 27 kW in a horsepower (NIST SP 811, B.8).
        assert_eq!(
            shown(Kind::Power, Units::new(System::Imperial)).text(232_400.0),
            "312\u{a0}hp"
        );
        assert_eq!(
            shown(Kind::GaugePressure, Units::new(System::Imperial)).text(124_106.0),
            "18.0\u{a0}psi"
        );
        assert_eq!(percent(0.041), "4\u{a0}%");
        assert_eq!(percent(-0.12), "−12\u{a0}%");
        assert_eq!(speed(2_763.0, 10.0), "2,760");
    }
}
