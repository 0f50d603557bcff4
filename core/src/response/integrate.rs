//! Steps in time, by a library: Dormand & Prince's method of order 5(4) with an answer between the
//! steps (Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations I, section II.5).

use super::ResponseError;
use ivp::methods::{DOPRI5, Tolerance};
use ivp::prelude::{ControlFlag, FirstOrderSystem, StepInterpolant};
use ivp::solout::SolOut;
use ivp::status::Status;
use serde::Serialize;
use std::cell::{Cell, RefCell};

/// Most steps of one integration, turned-down ones included. A usual one takes 10 to 100.
const MOST_STEPS: usize = 20_000;

/// How much work an integration was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Work {
    /// Steps that were kept.
    pub steps: usize,
    /// Steps that were turned down as too long.
    pub turned_down: usize,
    /// How often the rates were worked out.
    pub evaluations: usize,
}

impl Work {
    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            steps: self.steps + other.steps,
            turned_down: self.turned_down + other.turned_down,
            evaluations: self.evaluations + other.evaluations,
        }
    }
}

/// Accuracy of each state: relative, and absolute in its own unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Accuracy<const N: usize> {
    pub relative: f64,
    pub absolute: [f64; N],
}

/// A step that was taken.
pub(super) struct Step<'a, const N: usize> {
    /// Where it began, s.
    pub from: f64,
    /// Where it ended, s.
    pub to: f64,
    /// The state there.
    pub state: [f64; N],
    between: &'a dyn Fn(f64) -> [f64; N],
}

impl<const N: usize> Step<'_, N> {
    /// The state at a time within the step.
    pub fn at(&self, time: f64) -> [f64; N] {
        (self.between)(time)
    }
}

/// The rates, in the library's terms; keeps why the last look at them had no answer.
struct System<F, const N: usize> {
    rates: RefCell<F>,
    trouble: Cell<Option<ResponseError>>,
}

impl<F, const N: usize> FirstOrderSystem for System<F, N>
where
    F: FnMut(f64, &[f64; N]) -> Result<[f64; N], ResponseError>,
{
    fn derivative(&self, time: f64, state: &[f64], rates: &mut [f64]) {
        // A stage that strays where there is no answer makes its step be tried again, shorter.
        rates.fill(f64::NAN);
        let here: [f64; N] = fixed(state);
        if here.iter().any(|s| !s.is_finite()) {
            return;
        }
        match (self.rates.borrow_mut())(time, &here) {
            Ok(found) => rates.copy_from_slice(&found),
            Err(error) => self.trouble.set(Some(error)),
        }
    }
}

fn fixed<const N: usize>(state: &[f64]) -> [f64; N] {
    std::array::from_fn(|i| state.get(i).copied().unwrap_or(f64::NAN))
}

/// What looks at each step; keeps with what it stopped.
struct Watch<W> {
    look: W,
    stopped: Option<ResponseError>,
}

impl<W> SolOut for Watch<W>
where
    W: FnMut(f64, f64, &[f64], Option<&StepInterpolant<'_>>) -> Result<Go, ResponseError>,
{
    fn solout(
        &mut self,
        from: f64,
        to: &mut f64,
        state: &mut [f64],
        between: Option<&StepInterpolant<'_>>,
    ) -> ControlFlag {
        match (self.look)(from, *to, state, between) {
            Ok(Go::On) => ControlFlag::Continue,
            Ok(Go::NoFurther) => ControlFlag::Interrupt,
            Err(error) => {
                self.stopped = Some(error);
                ControlFlag::Interrupt
            }
        }
    }
}

/// Whether to go on after a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Go {
    On,
    NoFurther,
}

/// Integrates `rates` from `start` at time 0 up to `end` in seconds, or until `watch`, which sees
/// the start (as a step without length) and every step, has seen enough.
///
/// # Errors
/// What `watch` stopped with; why the rates had no answer, where no shorter step helped; too many
/// steps.
pub(super) fn integrate<const N: usize>(
    mut rates: impl FnMut(f64, &[f64; N]) -> Result<[f64; N], ResponseError>,
    start: &[f64; N],
    end: f64,
    accuracy: &Accuracy<N>,
    mut watch: impl FnMut(&Step<'_, N>) -> Result<Go, ResponseError>,
) -> Result<Work, ResponseError> {
    // Without rates at its start an integration has no first step.
    if rates(0.0, start)?.iter().any(|rate| !rate.is_finite()) {
        return Err(ResponseError::StepTooShort { time: 0.0 });
    }
    let system = System {
        rates: RefCell::new(rates),
        trouble: Cell::new(None),
    };
    let mut reached = 0.0;
    let mut watcher = Watch {
        look: |from: f64, to: f64, state: &[f64], between: Option<&StepInterpolant<'_>>| {
            reached = to;
            let state = fixed(state);
            let at = |time: f64| match between {
                Some(between) if time < to => {
                    let mut there = [0.0; N];
                    between.interpolate(time, &mut there);
                    there
                }
                _ => state,
            };
            watch(&Step {
                from,
                to,
                state,
                between: &at,
            })
        },
        stopped: None,
    };
    let method = DOPRI5 {
        max_steps: MOST_STEPS,
        // What is stiff takes steps, and their number is bounded.
        stiff_test: usize::MAX,
        ..DOPRI5::default()
    };
    let done = method.solve(
        &system,
        0.0,
        start,
        end,
        Tolerance::Scalar(accuracy.relative),
        Tolerance::Vector(accuracy.absolute.to_vec()),
        Some(&mut watcher),
    );
    if let Some(error) = watcher.stopped {
        return Err(error);
    }
    // Its settings are sound, so that it can only refuse what it was given to start from.
    let Ok(done) = done else {
        return Err(ResponseError::StepTooShort { time: 0.0 });
    };
    match done.status {
        Status::Success | Status::UserInterrupt => Ok(Work {
            steps: done.steps.accepted,
            turned_down: done.steps.rejected,
            evaluations: done.evals.ode,
        }),
        Status::NeedLargerNMax => Err(ResponseError::TooManySteps {
            time: reached,
            steps: done.steps.total,
        }),
        _ => Err(system
            .trouble
            .take()
            .unwrap_or(ResponseError::StepTooShort { time: reached })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INERTIA: f64 = 7e-5;
    const START: f64 = 2000.0;

    /// Speed after `end` seconds, from the rates of a rotor on which `power` in W acts at a speed.
    fn spun_up(power: impl Fn(f64) -> f64, end: f64) -> (f64, Work) {
        let mut last = START;
        let accuracy = Accuracy {
            relative: 1e-8,
            absolute: [1e-6],
        };
        let work = integrate(
            |_, [speed]| {
                let net = power(*speed);
                Ok([super::super::shaft_acceleration(
                    net, 0.0, 0.0, INERTIA, *speed,
                )])
            },
            &[START],
            end,
            &accuracy,
            |step| {
                last = step.state[0];
                Ok(Go::On)
            },
        );
        (last, work.expect("integrates"))
    }

    /// With constant torque speed rises evenly (mechanics).
    #[test]
    fn constant_torque_gives_constant_acceleration() {
        let torque = 0.4;
        let (speed, _) = spun_up(|speed| torque * speed, 1.3);
        let exact = START + torque / INERTIA * 1.3;
        assert!((speed / exact - 1.0).abs() < 1e-6, "{speed} {exact}");
    }

    /// With constant power the rotor's energy rises evenly (mechanics).
    #[test]
    fn constant_power_gives_constant_gain_of_energy() {
        let power = 6000.0;
        let (speed, work) = spun_up(|_| power, 1.3);
        let exact = (START * START + 2.0 * power * 1.3 / INERTIA).sqrt();
        assert!((speed / exact - 1.0).abs() < 1e-6, "{speed} {exact}");
        assert!(work.steps > 3 && work.evaluations > 6 * work.steps);
    }

    #[test]
    fn tells_why_it_goes_no_further() {
        let accuracy = Accuracy {
            relative: 1e-6,
            absolute: [1e-9],
        };
        let nowhere = integrate(
            |_, [y]| {
                if *y < 0.5 {
                    Err(ResponseError::Stalls { speed: 1.0 })
                } else {
                    Ok([-1.0])
                }
            },
            &[1.0],
            2.0,
            &accuracy,
            |_| Ok(Go::On),
        );
        assert_eq!(nowhere, Err(ResponseError::Stalls { speed: 1.0 }));
        let infinite = integrate(|_, [y]| Ok([y * y]), &[1.0], 2.0, &accuracy, |_| Ok(Go::On));
        assert!(infinite.is_err(), "{infinite:?}");
        let none = integrate(
            |_, _| Ok([f64::NAN]),
            &[1.0],
            2.0,
            &accuracy,
            |_| Ok(Go::On),
        );
        assert!(none.is_err(), "{none:?}");
        let stopped = integrate(
            |_, _| Ok([1.0]),
            &[1.0],
            2.0,
            &accuracy,
            |step| Ok(if step.to > 0.0 { Go::NoFurther } else { Go::On }),
        );
        assert_eq!(stopped.map(|work| work.steps), Ok(1));
    }
}
