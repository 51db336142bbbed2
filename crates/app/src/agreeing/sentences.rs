//! The same in sentences, for who has to decide what to do with them.

use super::{MeasurementAgreement, statistic::Statistic, words::joined};
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
                        "{}: Fleiss’ kappa {}, {}.",
                        joined(&kappa.readers),
                        coefficient(kappa),
                        films(kappa.count)
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
                "{}: ICC(2,1) {}, {}; {}.",
                joined(&found.readers),
                coefficient(found),
                found.remark.replace(" (Koo and Li)", " after Koo and Li"),
                films(found.count)
            )
        });
        let who = self.statistics.iter();
        let mut who = who.filter(|one| one.statistic == "icc_2_1");
        let readers = who.next().map(|one| one.readers.clone());
        let readers = readers.unwrap_or_default();
        let error = self.value("sem_agreement", &readers);
        let change = self.value("sdc_agreement", &readers);
        if let (Some(error), Some(change)) = (error, change) {
            told.push(format!(
                "One reading by anybody errs by {} (standard error of measurement, SEM); a change below {} between two \
                 of them is no change (smallest detectable change).",
                self.in_unit(error),
                self.in_unit(change)
            ));
        }
        let own = self.value("sdc_consistency", &readers);
        if let Some(own) = own {
            told.push(format!(
                "Where one and the same reader reads both, a change below {} is none.",
                self.in_unit(own)
            ));
        }
        told
    }

    /// What one reads more than the other.
    fn limits(&self, bias: &Statistic) -> String {
        let [first, second] = &bias.readers[..] else {
            return String::new();
        };
        let value = bias.value.unwrap_or_default();
        let more = if value < 0.0 { "less" } else { "more" };
        let limits = ["limit_lower", "limit_upper"].map(|name| {
            let found = self.value(name, &bias.readers);
            found.map_or_else(|| "–".to_owned(), |limit| self.in_unit(limit))
        });
        format!(
            "{first} reads {} {more} than {second}{}. Their differences lie between {} and {} in 95 % (limits of \
             agreement); {}.",
            self.in_unit(value.abs()),
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
    let value = plain(of.value.unwrap_or_default(), 2);
    match (of.low, of.high) {
        (Some(low), Some(high)) => {
            format!("{value} (95 % {} to {})", plain(low, 2), plain(high, 2))
        }
        _ => value,
    }
}

fn films(count: usize) -> String {
    super::counted(count, "film", "films")
}
