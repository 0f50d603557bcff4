//! Units, as typed and as shown.

use super::Kind;
use crate::row::Inputs;
use airpath::quantity::{AbsolutePressure, GaugePressure, Kind as Measured, Unit, read};

const RESULT: &str = "Every number typed or shown in another unit";

/// The kinds about units.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "read_text",
        result: RESULT,
        run: |inputs| {
            let measured = measured(inputs)?;
            let reading = read(inputs.name("text")?, measured, measured.metric())
                .map_err(|error| error.to_string())?;
            Ok(reading.si)
        },
    },
    Kind {
        name: "convert",
        result: RESULT,
        run: |inputs| {
            let measured = measured(inputs)?;
            let from = unit(measured, inputs.name("from")?)?;
            let to = unit(measured, inputs.name("to")?)?;
            Ok(to.from_si(from.to_si(inputs.number("value")?)))
        },
    },
    Kind {
        name: "absolute_from_gauge",
        result: RESULT,
        run: |inputs| {
            let gauge = GaugePressure::new(
                unit(Measured::GaugePressure, inputs.name("unit")?)?.to_si(inputs.number("value")?),
            );
            Ok(gauge
                .above(AbsolutePressure::new(inputs.number("ambient")?))
                .pa())
        },
    },
];

fn measured(inputs: &Inputs) -> Result<Measured, String> {
    let name = inputs.name("measured")?;
    let value = serde_json::Value::String(name.to_owned());
    serde_json::from_value(value).map_err(|_| format!("nothing measured is called {name}"))
}

fn unit(measured: Measured, name: &str) -> Result<&'static Unit, String> {
    measured
        .unit(name)
        .ok_or_else(|| format!("a {} has no unit {name}", measured.name()))
}
