//! What the command line asks for.

use std::time::Duration;

use anyhow::{Context as _, bail, ensure};

/// How long a run is, and which part of it is done here.
#[derive(Debug)]
pub(crate) struct Options {
    inputs: Option<u64>,
    seconds: Option<u64>,
    first: u64,
    /// Every so many inputs one is done here, so that several processes share a run.
    parts: u64,
    part: u64,
}

impl Options {
    pub(crate) fn read(arguments: impl Iterator<Item = String>) -> anyhow::Result<Self> {
        let mut options = Self {
            inputs: None,
            seconds: None,
            first: 0,
            parts: 1,
            part: 0,
        };
        let mut arguments = arguments;
        while let Some(name) = arguments.next() {
            let value = arguments
                .next()
                .with_context(|| format!("{name} needs a value"))?;
            match name.as_str() {
                "--inputs" => options.inputs = Some(value.parse()?),
                "--seconds" => options.seconds = Some(value.parse()?),
                "--first" => options.first = value.parse()?,
                "--part" => {
                    let (part, parts) = value.split_once('/').context("--part is K/N, as 1/2")?;
                    options.parts = parts.parse()?;
                    let part: u64 = part.parse()?;
                    ensure!(
                        (1..=options.parts).contains(&part),
                        "--part is from 1 to N of N"
                    );
                    options.part = part - 1;
                }
                other => bail!("{other} is not known: --inputs, --seconds, --first or --part"),
            }
        }
        ensure!(
            options.inputs.is_some() || options.seconds.is_some(),
            "say how long: --inputs NUMBER or --seconds NUMBER"
        );
        Ok(options)
    }

    pub(crate) const fn first_of_part(&self) -> u64 {
        self.first + self.part
    }

    pub(crate) const fn step(&self) -> u64 {
        self.parts
    }

    /// Whether the input of this number is still to be done.
    pub(crate) fn goes_on(&self, number: u64, elapsed: Duration) -> bool {
        self.inputs
            .is_none_or(|inputs| number < self.first + inputs)
            && self
                .seconds
                .is_none_or(|seconds| elapsed < Duration::from_secs(seconds))
    }
}
