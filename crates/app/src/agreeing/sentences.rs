//! The same in sentences, for who has to decide what to do with them.

use super::{
    MeasurementAgreement, NO_NAME,
    statistic::Statistic,
    words::{joined, never_rounded_to_one},
};
use crate::words::counted;
use plumbray_anatomy::capitalised;
use plumbray_report::number::plain;

/// What the statistics of one measurement say.
#[derive(Debug, Default)]
pub(crate) struct Told {
    /// All readers together.
    pub among_all: Vec<String>,
    /// Every two readers.
    pub pairs: Vec<String>,
    /// Each reader with himself.
    pub repeats: Vec<String>,
}

impl MeasurementAgreement {
    /// What its statistics say.
    pub(crate) fn told(&self) -> Told {
        if self.measurement.unit().is_number() {
            Told {
                among_all: self.correlation(),
                pairs: self.each("bias", |bias| self.limits(bias)),
                repeats: self.each("within_sd", |within| self.repeated(within)),
            }
        } else {
            Told {
                among_all: self.each("fleiss_kappa", |kappa| {
                    format!(
                        "{}: Fleiss’ kappa {}, {}{}.",
                        joined(&kappa.readers),
                        coefficient(kappa),
                        films(kappa.count),
                        few(kappa)
                    )
                }),
                pairs: self.each("agreement_per_cent", |same| {
                    self.same(same, "kappa_quadratic", "the same")
                }),
                repeats: self.each("repeat_agreement_per_cent", |same| {
                    self.same(same, "repeat_kappa_quadratic", "the same a second time")
                }),
            }
        }
    }

    /// A sentence for each statistic of this name that has a value; those without are told together by their reason.
    fn each(&self, name: &str, tell: impl Fn(&Statistic) -> String) -> Vec<String> {
        let named = || self.statistics.iter().filter(|one| one.statistic == name);
        let mut told: Vec<String> = named()
            .filter(|one| one.value.is_some())
            .map(tell)
            .collect();
        let mut reasons: Vec<&str> = Vec::new();
        for one in named().filter(|one| one.value.is_none()) {
            if !reasons.contains(&one.remark.as_str()) {
                reasons.push(&one.remark);
            }
        }
        for reason in reasons {
            let who: Vec<String> = named()
                .filter(|one| one.value.is_none() && one.remark == reason)
                .map(|one| joined(&one.readers))
                .collect();
            told.push(format!("{}: nothing to tell, {reason}.", who.join("; ")));
        }
        told
    }

    fn found(&self, name: &str, readers: &[String]) -> Option<&Statistic> {
        let mut all = self.statistics.iter();
        all.find(|one| one.statistic == name && one.readers == readers)
    }

    fn value(&self, name: &str, readers: &[String]) -> Option<f64> {
        self.found(name, readers)?.value
    }

    /// How far any one reader can stand for any other.
    fn correlation(&self) -> Vec<String> {
        let mut told = self.each("icc_2_1", |found| {
            format!(
                "{}: ICC(2,1) {}, {}; {}{}.",
                joined(&found.readers),
                coefficient(found),
                found.remark.replace(" (Koo and Li)", " after Koo and Li"),
                films(found.count),
                few(found)
            )
        });
        let who = self.statistics.iter();
        let mut who = who.filter(|one| one.statistic == "icc_2_1");
        let readers = who.next().map(|one| one.readers.clone());
        let readers = readers.unwrap_or_default();
        let error = self.found("sem_agreement", &readers);
        let change = self.found("sdc_agreement", &readers);
        if let (Some(error), Some(change)) = (error, change)
            && let (Some(errs), Some(least)) = (error.value, change.value)
        {
            told.push(format!(
                "{} by anybody errs by {}{} (standard error of measurement, SEM); a change below {}{} between two such \
                 {} is no change (smallest detectable change). It holds how far readers differ on one film, and not \
                 what two films of an unchanged foot differ by.",
                capitalised(&self.what_counts()),
                self.in_unit(errs),
                self.interval(error),
                self.in_unit(least),
                self.interval(change),
                if self.is_of_means() { "means" } else { "readings" },
            ));
        }
        told.extend(self.own_changes());
        told
    }

    /// Below which change one and the same reader saw none, by how well each repeats himself.
    fn own_changes(&self) -> Vec<String> {
        // Those who name nobody may be many, and no one repeats himself among them.
        let is_somebody = |one: &&Statistic| !one.readers.iter().any(|name| name == NO_NAME);
        let all = || self.statistics.iter().filter(is_somebody);
        let known = all().filter(|one| one.statistic == "repeatability");
        let mut told: Vec<String> = known
            .filter_map(|one| {
                let who = joined(&one.readers);
                Some(format!(
                    "Where {who} reads both films, once each, a change below {}{} is none ({who}’s own repeatability).",
                    self.in_unit(one.value?),
                    self.interval(one)
                ))
            })
            .collect();
        let unknown: Vec<String> = all()
            .filter(|one| one.statistic == "repeatability" && one.value.is_none())
            .map(|one| joined(&one.readers))
            .collect();
        if !unknown.is_empty() {
            told.push(format!(
                "Where {} reads both, nobody can say which change is none: repeats are needed, so read some films again.",
                match &unknown[..] {
                    [only] => only.clone(),
                    [first @ .., last] => format!("{} or {last}", first.join(", ")),
                    [] => String::new(),
                }
            ));
        }
        told
    }

    /// Whether a value between readers is the mean of several readings.
    fn is_of_means(&self) -> bool {
        self.readings.readings_a_value.1 > 1
    }

    /// What a value between readers is: "one reading", "the mean of 2 to 3 readings".
    fn what_counts(&self) -> String {
        match self.readings.readings_a_value {
            (_, 0 | 1) => "one reading".to_owned(),
            (least, most) if least == most => format!("the mean of {most} readings"),
            (least, most) => format!("the mean of {least} to {most} readings"),
        }
    }

    /// What one reads more than the other.
    fn limits(&self, bias: &Statistic) -> String {
        let [first, second] = &bias.readers[..] else {
            return String::new();
        };
        let value = bias.value.unwrap_or_default();
        let amount = self.in_unit(value.abs());
        let is_nothing = !amount.chars().any(|letter| ('1'..='9').contains(&letter));
        let reads = if is_nothing {
            format!("reads the same as {second}")
        } else {
            let more = if value < 0.0 { "less" } else { "more" };
            format!("reads {amount} {more} than {second}")
        };
        let of = if self.is_of_means() {
            "The differences of their means"
        } else {
            "Their differences"
        };
        let limits = ["limit_lower", "limit_upper"].map(|name| {
            let found = self.value(name, &bias.readers);
            found.map_or_else(|| "–".to_owned(), |limit| self.in_unit(limit))
        });
        format!(
            "{first} {reads}{}. {of} lie between {} and {} in 95 % (limits of agreement); {}.",
            self.interval(bias),
            limits[0],
            limits[1],
            films(bias.count)
        )
    }

    /// How well one reader repeats himself.
    fn repeated(&self, within: &Statistic) -> String {
        let repeated = self.value("repeatability", &within.readers);
        let repeated = repeated.map_or_else(String::new, |coefficient| {
            format!(
                "; two readings of one film differ by less than {} in 95 %",
                self.in_unit(coefficient)
            )
        });
        format!(
            "{}: within-reader SD {}{}{repeated}; {}, {}.",
            joined(&within.readers),
            self.in_unit(within.value.unwrap_or_default()),
            self.interval(within),
            films(within.count),
            within.remark
        )
    }

    /// How often two say the same, or one says the same again.
    fn same(&self, same: &Statistic, kappa: &str, what: &str) -> String {
        let kappa = self.found(kappa, &same.readers);
        let kappa = kappa.map_or_else(String::new, |kappa| match kappa.value {
            Some(_) if kappa.low.is_none() => format!(
                "; kappa, quadratic, {} (no interval: they always agreed, on {})",
                coefficient(kappa),
                films(kappa.count)
            ),
            Some(_) => format!("; kappa, quadratic, {}", coefficient(kappa)),
            None => format!("; no kappa: {}", kappa.remark),
        });
        let ends = match (same.low, same.high) {
            (Some(low), Some(high)) => {
                format!(" (95 % {} to {})", plain(low, 0), plain(high, 0))
            }
            _ => String::new(),
        };
        format!(
            "{}: {what} in {}\u{2009}%{ends} of films, {}{kappa}.",
            joined(&same.readers),
            plain(same.value.unwrap_or_default(), 0),
            same.remark
        )
    }

    fn interval(&self, of: &Statistic) -> String {
        match (of.low, of.high) {
            (Some(low), Some(high)) => {
                format!(" (95 % {} to {})", self.in_unit(low), self.in_unit(high))
            }
            _ => String::new(),
        }
    }
}

fn coefficient(of: &Statistic) -> String {
    let decimals = 2;
    let value = never_rounded_to_one(of.value.unwrap_or_default(), decimals);
    match (of.low, of.high) {
        (Some(low), Some(high)) => {
            let [low, high] = [low, high].map(|end| never_rounded_to_one(end, decimals));
            format!("{value} (95 % {low} to {high})")
        }
        _ => value,
    }
}

/// Below so many films or readers an intraclass correlation says little. Source: Koo, Li, J Chiropr Med 2016;15:155–163
/// (from memory).
const ENOUGH: (usize, usize) = (30, 3);

/// What is said beside a coefficient that stands on little; empty where it does not.
fn few(of: &Statistic) -> String {
    let is_little = of.count < ENOUGH.0 || of.readers.len() < ENOUGH.1;
    if is_little {
        format!(
            ", which are few: {} films and {} readers are advised",
            ENOUGH.0, ENOUGH.1
        )
    } else {
        String::new()
    }
}

fn films(count: usize) -> String {
    counted(count, "film", "films")
}
