//! The rows before the table: keys, their values and units.

use super::assemble::Rows;
use super::problems::{figure, quoted};
use super::table::{Decimals, LONGEST_CELL};
use super::{
    MapFile, MapFileError, MapUnits, OUTLET_DIAMETER, PressureBasis, REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE, check_name, units,
};
use crate::air_way::compressor::MapReference;
use crate::quantity::{Kind, Unit};

/// The keys of the rows before the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    /// What the map is called.
    Name,
    /// Reference temperature.
    Temperature,
    /// Reference pressure.
    Pressure,
    /// What pressure ratios are made of.
    Basis,
    /// Outlet diameter.
    Outlet,
}

impl Key {
    /// Every key.
    pub const ALL: [Self; 5] = [
        Self::Name,
        Self::Temperature,
        Self::Pressure,
        Self::Basis,
        Self::Outlet,
    ];

    /// Its name in a file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Temperature => "reference temperature",
            Self::Pressure => "reference pressure",
            Self::Basis => "basis",
            Self::Outlet => "outlet diameter",
        }
    }
}

/// The rows before the table, as far as they were read.
#[derive(Default)]
pub(super) struct Head {
    seen: Vec<Key>,
    name: String,
    temperature: Option<(f64, &'static Unit)>,
    pressure: Option<(f64, &'static Unit)>,
    basis: Option<PressureBasis>,
    outlet: Option<(f64, &'static Unit)>,
}

impl Head {
    /// Takes a row.
    ///
    /// # Errors
    /// When the key stood there before, or its value cannot be.
    pub fn row(
        &mut self,
        line: usize,
        key: Key,
        row: &[&str],
        decimals: &mut Decimals,
    ) -> Result<(), MapFileError> {
        if self.seen.contains(&key) {
            return Err(MapFileError::Twice {
                line,
                what: key.name(),
            });
        }
        self.seen.push(key);
        let place = format!("Line {line} of the file");
        // A key, its value and, where there is one, its unit.
        let most = if matches!(key, Key::Name | Key::Basis) {
            2
        } else {
            3
        };
        if let Some(more) = row.iter().skip(most).find(|cell| !cell.is_empty()) {
            return Err(MapFileError::Head {
                place,
                what: key.name(),
                found: format!("{} … {}", quoted(row.get(1).unwrap_or(&"")), quoted(more)),
                wanted: "the row has a cell too many: remove it, or put a text that holds the separator in quotation marks".to_owned(),
            });
        }
        let value = row.get(1).copied().unwrap_or_default();
        let unit = row.get(2).copied().unwrap_or_default();
        let mut number = |kind, low_high| {
            let found = Found {
                place: &place,
                key,
                value,
                unit,
            };
            found.quantity(line, decimals, kind, low_high)
        };
        match key {
            Key::Name => {
                check_name(&place, value)?;
                value.clone_into(&mut self.name);
            }
            Key::Temperature => {
                self.temperature = Some(number(Kind::Temperature, REFERENCE_TEMPERATURE)?);
            }
            Key::Pressure => {
                self.pressure = Some(number(Kind::AbsolutePressure, REFERENCE_PRESSURE)?);
            }
            Key::Outlet => self.outlet = Some(number(Kind::Length, OUTLET_DIAMETER)?),
            Key::Basis => {
                let basis = (value.len() <= LONGEST_CELL)
                    .then(|| PressureBasis::by_name(value))
                    .flatten();
                self.basis = Some(basis.ok_or_else(|| wrong_basis(place, value))?);
            }
        }
        Ok(())
    }

    /// A map without points yet, and the rows to gather.
    pub fn done(self, mut units: MapUnits) -> Result<(MapFile, Rows), MapFileError> {
        let lacking = |what, remedy| MapFileError::Lacking { what, remedy };
        let (temperature_k, unit) = self.temperature.ok_or(lacking(
            "row “reference temperature”",
            "add it above the table, such as “reference temperature, 25, °C”",
        ))?;
        units.temperature = unit;
        let (pressure_pa, unit) = self.pressure.ok_or(lacking(
            "row “reference pressure”",
            "add it above the table, such as “reference pressure, 100, kPa”",
        ))?;
        units.pressure = unit;
        let basis = self.basis.ok_or(lacking(
            "row “basis”",
            "add it above the table, as “basis, total-to-total” or “basis, total-to-static”",
        ))?;
        if let Some((_, unit)) = self.outlet {
            units.length = unit;
        }
        let reference = MapReference {
            temperature_k,
            pressure_pa,
        };
        let map = MapFile {
            name: self.name,
            reference,
            basis,
            outlet_diameter_m: self.outlet.map(|(diameter, _)| diameter),
            lines: Vec::new(),
            surge_line: Vec::new(),
            units,
        };
        Ok((map, Rows::new(units, reference)))
    }
}

/// A basis that there is not.
pub(super) fn wrong_basis(place: String, found: &str) -> MapFileError {
    MapFileError::Head {
        place,
        what: "the basis",
        found: quoted(found),
        wanted: "write total-to-total or total-to-static, as the map's source says".to_owned(),
    }
}

/// What stands in a row before the table.
struct Found<'a> {
    place: &'a str,
    key: Key,
    value: &'a str,
    unit: &'a str,
}

impl Found<'_> {
    /// A number with its unit, in one cell or in two, in SI.
    fn quantity(
        &self,
        line: usize,
        decimals: &mut Decimals,
        kind: Kind,
        (low, high): (f64, f64),
    ) -> Result<(f64, &'static Unit), MapFileError> {
        let of_number =
            |sign: char| sign.is_ascii_digit() || matches!(sign, '.' | ',' | '+' | '-' | '−');
        let (number, unit) = if self.unit.is_empty() {
            let end = self.value.find(|sign| !of_number(sign));
            self.value.split_at(end.unwrap_or(self.value.len()))
        } else {
            (self.value, self.unit)
        };
        let Some(value) = decimals.number(line, number.trim())? else {
            return Err(MapFileError::Head {
                place: self.place.to_owned(),
                what: self.key.name(),
                found: quoted(self.value),
                wanted: "write a number and, in the next cell, its unit".to_owned(),
            });
        };
        let unit = unit.trim();
        let known = (!unit.is_empty() && unit.len() <= LONGEST_CELL)
            .then(|| kind.unit(unit))
            .flatten();
        let Some(unit) = known else {
            return Err(MapFileError::Unit {
                place: self.place.to_owned(),
                what: self.key.name(),
                found: quoted(unit),
                known: units::known(kind),
                example: ", in the cell after the number",
            });
        };
        let si = unit.to_si(value);
        if si >= low && si <= high {
            return Ok((si, unit));
        }
        Err(out_of_range(
            self.place.to_owned(),
            self.key.name(),
            (value, unit),
            (low, high),
        ))
    }
}

/// A value before the table that cannot be.
pub(super) fn out_of_range(
    place: String,
    what: &'static str,
    (value, unit): (f64, &'static Unit),
    (low, high): (f64, f64),
) -> MapFileError {
    let symbol = unit.symbol;
    MapFileError::Head {
        place,
        what,
        found: format!("{} {symbol}", figure(value)),
        wanted: format!(
            "it must lie between {} and {} {symbol}: correct it or its unit",
            figure(unit.from_si(low)),
            figure(unit.from_si(high))
        ),
    }
}
