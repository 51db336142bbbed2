//! What happens next to a job: pure functions of its state and the time.

use std::time::Duration;

use jiff::{SignedDuration, Timestamp};

use super::job::{Job, JobState};

/// What is to be done with a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Nothing before this time.
    WaitUntil(Timestamp),
    /// Ask the archive whether it has the object.
    Ask,
    /// Send the object.
    Send,
    /// Nothing until a person says so.
    Rest,
}

/// What is to be done with a job that nobody is working on. A job that was being sent ended in doubt, because
/// whoever sent it did not live to note the answer.
#[must_use]
pub fn next_action(job: &Job, now: Timestamp) -> Action {
    match job.state {
        JobState::Waiting { not_before } | JobState::InDoubt { not_before } if not_before > now => {
            Action::WaitUntil(not_before)
        }
        JobState::Waiting { .. } => Action::Send,
        JobState::InDoubt { .. } | JobState::Sending { .. } => Action::Ask,
        JobState::Refused => Action::Rest,
    }
}

/// How long is waited between tries: twice as long each time, up to a limit. Ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Delays {
    /// After the first try.
    pub first: Duration,
    /// At most.
    pub longest: Duration,
}

impl Default for Delays {
    fn default() -> Self {
        Self {
            first: Duration::from_secs(10),
            longest: Duration::from_secs(60 * 60),
        }
    }
}

impl Delays {
    /// How long to wait after so many tries: between half and the whole of the step, by `chance` from 0 to 1, so
    /// that many workstations do not come back at the same moment.
    #[must_use]
    pub fn after(&self, tries: u32, chance: f64) -> Duration {
        let doublings = tries.saturating_sub(1).min(31);
        let step = self
            .first
            .saturating_mul(2_u32.saturating_pow(doublings))
            .min(self.longest);
        step.mul_f64(0.5 + 0.5 * chance.clamp(0.0, 1.0))
    }
}

/// How a try ended that did not settle the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Setback {
    /// The archive surely has not got the object, and may take it later.
    Later(String),
    /// The archive may have the object.
    InDoubt(String),
    /// The archive will not take it as it is.
    Never(String),
    /// Nothing was tried at the archive: it is not known or its secret is not at hand.
    NotTried(String),
}

/// A job that is being sent.
pub(crate) fn sending(mut job: Job, now: Timestamp) -> Job {
    job.state = JobState::Sending { since: now };
    job.tries = job.tries.saturating_add(1);
    job
}

/// A job after a setback.
pub(crate) fn set_back(
    mut job: Job,
    setback: Setback,
    now: Timestamp,
    delays: Delays,
    chance: f64,
) -> Job {
    let is_in_doubt = matches!(
        job.state,
        JobState::InDoubt { .. } | JobState::Sending { .. }
    );
    let delay = delays.after(job.tries.max(1), chance);
    let not_before = SignedDuration::try_from(delay)
        .ok()
        .and_then(|delay| now.checked_add(delay).ok())
        .unwrap_or(now);
    let (state, reason) = match setback {
        Setback::InDoubt(reason) => (JobState::InDoubt { not_before }, reason),
        Setback::Never(reason) => (JobState::Refused, reason),
        // What was in doubt stays so.
        Setback::NotTried(reason) if is_in_doubt => (JobState::InDoubt { not_before }, reason),
        Setback::Later(reason) | Setback::NotTried(reason) => {
            (JobState::Waiting { not_before }, reason)
        }
    };
    job.state = state;
    job.last_reason = Some(reason);
    job
}

/// A job that a person wants tried at once.
pub(crate) const fn hurried(mut job: Job, now: Timestamp) -> Job {
    job.state = match job.state {
        JobState::Waiting { .. } | JobState::Refused => JobState::Waiting { not_before: now },
        JobState::InDoubt { .. } | JobState::Sending { .. } => {
            JobState::InDoubt { not_before: now }
        }
    };
    job
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{object::ObjectIdentity, queue::job::JobId, uid::Uid};

    fn uid(text: &str) -> Uid {
        Uid::new(text).expect("one")
    }

    fn job(state: JobState, tries: u32) -> Job {
        Job {
            id: JobId::new(Timestamp::UNIX_EPOCH),
            archive: "Clinic".to_owned(),
            object: ObjectIdentity {
                class: uid("1.1"),
                study: uid("1.2"),
                series: uid("1.3"),
                instance: uid("1.4"),
            },
            hash: String::new(),
            added: Timestamp::UNIX_EPOCH,
            state,
            tries,
            last_reason: None,
        }
    }

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).expect("in range")
    }

    fn any_state() -> impl Strategy<Value = JobState> {
        let time = 0_i64..10_000;
        prop_oneof![
            time.clone()
                .prop_map(|s| JobState::Waiting { not_before: at(s) }),
            time.clone()
                .prop_map(|s| JobState::Sending { since: at(s) }),
            time.prop_map(|s| JobState::InDoubt { not_before: at(s) }),
            Just(JobState::Refused),
        ]
    }

    fn any_setback() -> impl Strategy<Value = Setback> {
        let why = String::new;
        prop_oneof![
            Just(Setback::Later(why())),
            Just(Setback::InDoubt(why())),
            Just(Setback::Never(why())),
            Just(Setback::NotTried(why())),
        ]
    }

    proptest! {
        #[test]
        fn what_may_be_there_is_asked_for_and_never_sent_at_once(state in any_state(), now in 0_i64..10_000) {
            let action = next_action(&job(state, 1), at(now));
            if matches!(state, JobState::Sending { .. } | JobState::InDoubt { .. }) {
                prop_assert_ne!(action, Action::Send, "{:?}", state);
            }
            if let Action::WaitUntil(time) = action {
                prop_assert!(time > at(now), "in the future");
                prop_assert_ne!(next_action(&job(state, 1), time), Action::WaitUntil(time), "and no longer");
            }
        }

        #[test]
        fn a_setback_is_tried_again_within_the_longest_delay(state in any_state(), setback in any_setback(), tries in 0_u32..100, chance in 0.0..1.0, now in 0_i64..10_000) {
            let delays = Delays::default();
            let is_doubt = matches!(setback, Setback::InDoubt(_));
            let after = set_back(job(state, tries), setback, at(now), delays, chance);
            match next_action(&after, at(now)) {
                Action::WaitUntil(time) => {
                    let wait = time.duration_since(at(now));
                    prop_assert!(wait >= SignedDuration::from_secs(5), "not at once: {wait:?}");
                    prop_assert!(wait <= SignedDuration::from_secs(3600), "not for ever: {wait:?}");
                }
                action => prop_assert_eq!(action, Action::Rest, "only what is refused rests"),
            }
            if is_doubt {
                prop_assert_eq!(next_action(&after, at(100_000)), Action::Ask, "asked first");
            }
        }

        #[test]
        fn delays_grow_and_end(tries in 1_u32..200, chance in 0.0..1.0) {
            let delays = Delays::default();
            prop_assert!(delays.after(tries, chance) <= delays.longest, "the limit");
            prop_assert!(delays.after(tries + 1, 0.0) >= delays.after(tries, 0.0), "growing");
        }

        #[test]
        fn a_person_can_hurry_any_job(state in any_state(), now in 0_i64..10_000) {
            let doubtful = matches!(state, JobState::Sending { .. } | JobState::InDoubt { .. });
            let expected = if doubtful { Action::Ask } else { Action::Send };
            prop_assert_eq!(next_action(&hurried(job(state, 3), at(now)), at(now)), expected, "at once");
        }
    }
}
