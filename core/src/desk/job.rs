//! What of the desk takes long enough to be done beside a page: screening a shelf, surveying where a
//! turbocharger belongs. A job and the pieces of its answer are texts, so that they go to a worker and
//! back; a job may be cut into any number of smaller ones.

use super::Candidate;
use super::application::{InHand, Row, Setting, Survey};
use super::shortlist::{Look, Screen, Wishes};
use crate::build::{Build, BuildFile, Turbocharger, on_shelf, whole_shelf};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Candidates or rows told at once.
const PIECE: usize = 8;

/// Something to be done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// The engine, place and goal.
    build: BuildFile,
    /// What of it.
    what: What,
    /// From which candidate or row, from 0.
    from: usize,
    /// Up to which, that one not included.
    to: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    /// Candidates of the person's own turbochargers, then of the shelf.
    Screen {
        wishes: Wishes,
        own: Vec<Turbocharger>,
    },
    /// Rows of a survey of the build's own turbocharger.
    Survey { setting: Setting, in_hand: InHand },
}

/// A piece of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Piece {
    /// Looks from this candidate on.
    Looks(usize, Vec<Look>),
    /// Rows of a survey from this one on.
    Rows(usize, Vec<Row>),
}

impl Piece {
    /// From the text that a job told.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    fn write(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }
}

/// The turbochargers that are screened: the person's own, then the shelf.
#[must_use]
pub fn screened(own: Vec<Turbocharger>) -> Vec<Arc<Turbocharger>> {
    let all = own.into_iter().chain(whole_shelf());
    all.map(Arc::new).collect()
}

impl Job {
    /// Screens candidates `from` up to `to` of [`Candidate::all`] of [`screened`].
    #[must_use]
    pub fn screen(
        build: &Build,
        wishes: &Wishes,
        own: &[Turbocharger],
        (from, to): (usize, usize),
    ) -> Self {
        Self {
            build: BuildFile::from_build(build),
            what: What::Screen {
                wishes: wishes.clone(),
                own: own.to_vec(),
            },
            from,
            to,
        }
    }

    /// Surveys rows `from` up to `to` of where the turbocharger of `build` belongs.
    #[must_use]
    pub fn survey(
        build: &Build,
        setting: &Setting,
        in_hand: &InHand,
        (from, to): (usize, usize),
    ) -> Self {
        Self {
            build: BuildFile::from_build(build),
            what: What::Survey {
                setting: setting.clone(),
                in_hand: *in_hand,
            },
            from,
            to,
        }
    }

    /// As a text.
    #[must_use]
    pub fn write(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }
}

/// Does a job; tells its answer piece by piece.
///
/// # Errors
/// What is wrong with the job, its build or a turbocharger.
pub fn work(job: &str, tell: &dyn Fn(&str)) -> Result<(), String> {
    let job: Job = serde_json::from_str(job).map_err(|error| error.to_string())?;
    let build = job
        .build
        .into_build_from(on_shelf)
        .map_err(|error| error.to_string())?;
    match job.what {
        What::Screen { wishes, own } => {
            let screen = Screen::new(&build, wishes).map_err(|error| error.to_string())?;
            let all = Candidate::all(&screened(own));
            let to = job.to.min(all.len());
            let mine = all.get(job.from..to).unwrap_or_default();
            for (number, piece) in mine.chunks(PIECE).enumerate() {
                let at = job.from + number * PIECE;
                tell(&Piece::Looks(at, screen.looks(piece)).write());
            }
        }
        What::Survey { setting, in_hand } => {
            let candidate = Candidate::of(&build);
            let survey = Survey::new(&build, &candidate, &setting, &in_hand)
                .map_err(|error| error.to_string())?;
            for place in job.from..job.to.min(survey.len()) {
                let row = survey.row(place).into_iter().collect();
                tell(&Piece::Rows(place, row).write());
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_build;
    use std::cell::RefCell;

    fn told(job: &Job) -> Vec<Piece> {
        let pieces = RefCell::new(Vec::new());
        work(&job.write(), &|text| {
            pieces
                .borrow_mut()
                .push(Piece::read(text).expect("a piece"));
        })
        .expect("a sound job");
        pieces.into_inner()
    }

    #[test]
    fn screening_in_shares_is_screening_at_once() {
        let build = example_build().expect("ours");
        let wishes = Wishes::default();
        let own = whole_shelf().split_off(20);
        let looks = |from, to| -> Vec<Look> {
            told(&Job::screen(&build, &wishes, &own, (from, to)))
                .into_iter()
                .flat_map(|piece| match piece {
                    Piece::Looks(_, looks) => looks,
                    Piece::Rows(..) => Vec::new(),
                })
                .collect()
        };
        let whole = looks(0, 30);
        let mut shares = looks(0, 11);
        shares.extend(looks(11, 30));
        assert_eq!(whole, shares);
        assert_eq!(whole.len(), 30);
        // The person's own come first.
        assert_eq!(whole[0].turbocharger, own[0].id);
        assert!(looks(100_000, 100_001).is_empty());
    }

    #[test]
    fn a_survey_in_shares_is_a_survey_at_once() {
        let build = example_build().expect("ours");
        let setting = &Setting::usual(&build)[0];
        let in_hand = InHand::default();
        let survey = Survey::new(&build, &Candidate::of(&build), setting, &in_hand);
        let survey = survey.expect("sound");
        for place in [2, 9] {
            let pieces = told(&Job::survey(&build, setting, &in_hand, (place, place + 1)));
            let row = survey.row(place).expect("a row");
            assert_eq!(pieces, [Piece::Rows(place, vec![row])]);
        }
    }

    #[test]
    fn what_is_no_job_is_refused() {
        assert!(work("{}", &|_| ()).is_err());
        assert_eq!(Piece::read("nothing"), None);
    }
}
