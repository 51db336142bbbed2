//! Fetching over the web (WADO-RS, PS3.18 10.4).

use std::{io::Read, path::Path};

use ureq::http::header;

use super::{
    client::Client,
    failure,
    multipart::{self, Parts, Trouble},
};
use crate::{
    archive::{Fetched, Progress, WantedFilms, Watch, is_wanted, tell},
    error::ArchiveError,
    folder::{Arrived, Incoming},
};

/// Films as they are stored, whatever transfer syntax that is.
const AS_STORED: &str = "multipart/related; type=\"application/dicom\"; transfer-syntax=*";
/// Films in the syntax that the archive prefers, for archives that do not know the first form.
const AS_PREFERRED: &str = "multipart/related; type=\"application/dicom\"";

/// Fetches films into a folder.
pub(crate) fn fetch(
    client: &Client,
    wanted: &WantedFilms,
    into: &Path,
    watch: &mut Watch<'_>,
) -> Result<Fetched, ArchiveError> {
    let path = path_of(wanted)?;
    let mut response = client.get(&path, AS_STORED)?;
    if matches!(response.status().as_u16(), 400 | 406) {
        response = client.get(&path, AS_PREFERRED)?;
    }
    let mut response = failure::checked(response)?;
    let content_type = response.headers().get(header::CONTENT_TYPE);
    let content_type = content_type
        .and_then(|value| value.to_str().ok())
        .unwrap_or_default()
        .to_owned();
    let boundary = multipart::boundary(&content_type)?;
    let reader = response.body_mut().with_config().limit(u64::MAX).reader();
    let taken = match boundary {
        Some(boundary) => several(reader, &boundary, wanted, into, watch),
        None if content_type.starts_with("application/dicom") => one(reader, wanted, into, watch),
        None => Err(Trouble::Archive(ArchiveError::protocol(format!(
            "“{}” instead of films",
            content_type.chars().take(60).collect::<String>()
        )))),
    };
    taken.map_err(|trouble| match trouble {
        Trouble::Reading(error) => failure::of_reading(error, client.patience()),
        Trouble::Archive(error) => error,
    })
}

/// The address of what is wanted, below the archive's own.
fn path_of(wanted: &WantedFilms) -> Result<String, ArchiveError> {
    let study = &wanted.study;
    match (&wanted.series, &wanted.film) {
        (None, None) => Ok(format!("studies/{study}")),
        (Some(series), None) => Ok(format!("studies/{study}/series/{series}")),
        (Some(series), Some(film)) => {
            Ok(format!("studies/{study}/series/{series}/instances/{film}"))
        }
        (None, Some(_)) => Err(ArchiveError::NotAccepted {
            what: "being asked for a film without its series".to_owned(),
            remedy: "name the series as well",
        }),
    }
}

fn several(
    reader: impl Read,
    boundary: &str,
    wanted: &WantedFilms,
    into: &Path,
    watch: &mut Watch<'_>,
) -> Result<Fetched, Trouble> {
    let mut parts = Parts::new(reader, boundary);
    let mut fetched = Fetched::default();
    tell_of(watch, &fetched)?;
    while parts.next_part()? {
        fetched.check_room()?;
        let mut incoming = Incoming::begin(into)?;
        parts.read_part(&mut |piece| incoming.write(piece))?;
        note(
            &mut fetched,
            incoming.finish(|came| is_wanted(wanted, came)),
        )?;
        tell_of(watch, &fetched)?;
    }
    Ok(fetched)
}

/// A single film that came without parts.
fn one(
    mut reader: impl Read,
    wanted: &WantedFilms,
    into: &Path,
    watch: &mut Watch<'_>,
) -> Result<Fetched, Trouble> {
    let mut incoming = Incoming::begin(into)?;
    let mut piece = vec![0; 1 << 16];
    loop {
        let count = reader.read(&mut piece).map_err(Trouble::Reading)?;
        if count == 0 {
            break;
        }
        incoming.write(&piece[..count])?;
    }
    let mut fetched = Fetched::default();
    note(
        &mut fetched,
        incoming.finish(|came| is_wanted(wanted, came)),
    )?;
    tell_of(watch, &fetched)?;
    Ok(fetched)
}

/// Counts a film that came; one that cannot be one is a complaint, a full disk ends the fetch.
fn note(fetched: &mut Fetched, came: Result<Arrived, ArchiveError>) -> Result<(), ArchiveError> {
    match came {
        Ok(arrived) => {
            fetched.take(arrived);
            Ok(())
        }
        Err(problem @ ArchiveError::Protocol { .. }) => {
            fetched.complaints.push(problem.to_string());
            Ok(())
        }
        Err(problem) => Err(problem),
    }
}

fn tell_of(watch: &mut Watch<'_>, fetched: &Fetched) -> Result<(), ArchiveError> {
    tell(
        watch,
        Progress {
            arrived: fetched.files.len(),
            remaining: None,
        },
    )
}
