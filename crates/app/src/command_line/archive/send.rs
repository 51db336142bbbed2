//! `plumbray send`: films into the queue of an archive, and the queue worked.

use std::{cell::RefCell, collections::BTreeMap, io::Write, ops::ControlFlow, path::PathBuf};

use anyhow::Context as _;
use clap::Args;
use jiff::Timestamp;
use plumbray_archive::{
    Delays, Job, JobId, JobState, Queue, Receipt, Request, Secret, Settled, StoredObject, Until,
    open,
};

use super::{book, queue_path, secret};
use crate::command_line::Ending;

#[derive(Debug, Args)]
pub(in crate::command_line) struct SendArguments {
    /// The archive, by its name in `plumbray archives`.
    #[arg(required_unless_present_any = ["queue", "retry", "cancel"])]
    archive: Option<String>,
    /// DICOM files. Their copies wait in the queue until the archive has them.
    #[arg(required_unless_present_any = ["queue", "retry", "cancel"])]
    files: Vec<PathBuf>,
    /// List what waits, and send nothing.
    #[arg(long, conflicts_with_all = ["archive", "retry", "cancel"])]
    queue: bool,
    /// Try this job at once, or `all` of them, also what the archive refused.
    #[arg(long, value_name = "JOB", conflicts_with = "archive")]
    retry: Vec<String>,
    /// Take this job back, or `all` of them.
    #[arg(long, value_name = "JOB", conflicts_with = "archive")]
    cancel: Vec<String>,
    /// Wait until all is sent that will be tried by itself, however long that takes.
    #[arg(long)]
    wait: bool,
}

pub(in crate::command_line) fn send(
    arguments: &SendArguments,
    output: &mut dyn Write,
) -> anyhow::Result<Ending> {
    let queue = Queue::open(&queue_path()?)?;
    if arguments.queue {
        list(&queue, output)?;
        return Ok(Ending::Complete);
    }
    ask(&queue, &arguments.retry, Request::TryNow)?;
    ask(&queue, &arguments.cancel, Request::Cancel)?;
    if let Some(archive) = &arguments.archive {
        // A name that nobody knows is told before anything is queued for it.
        book()?.named(archive)?;
        let opened = arguments.files.iter().map(|path| StoredObject::open(path));
        let objects = opened.collect::<Result<Vec<_>, _>>()?;
        for object in &objects {
            queue.add(archive, object, Timestamp::now())?;
        }
    }
    if arguments.retry.is_empty() && !arguments.cancel.is_empty() {
        return Ok(Ending::Complete);
    }
    work(&queue, arguments.wait, output)?;
    Ok(if list(&queue, output)? {
        Ending::Complete
    } else {
        Ending::WithFailures
    })
}

/// Asks for something to be done with jobs.
fn ask(queue: &Queue, jobs: &[String], request: Request) -> anyhow::Result<()> {
    for text in jobs {
        let ids =
            if text == "all" {
                let jobs = queue.listing()?.jobs;
                jobs.into_iter().map(|job| job.id).collect()
            } else {
                let id = JobId::parse(text);
                vec![id.with_context(|| {
                    format!("“{text}” is no job; plumbray send --queue lists them")
                })?]
            };
        for id in ids {
            queue.request(&id, request, Timestamp::now())?;
        }
    }
    Ok(())
}

fn work(queue: &Queue, wait: bool, output: &mut dyn Write) -> anyhow::Result<()> {
    let book = book()?;
    let secrets: RefCell<BTreeMap<String, Option<Secret>>> = RefCell::default();
    let until = if wait {
        Until::Empty
    } else {
        Until::NothingDue
    };
    let worked = queue.work(
        &|name| {
            let address = book.named(name)?;
            // Nobody is asked twice for one secret.
            let mut secrets = secrets.borrow_mut();
            if !secrets.contains_key(name) {
                secrets.insert(name.to_owned(), secret::of(address)?);
            }
            open(address, secrets.get(name).and_then(Option::as_ref))
        },
        &Timestamp::now,
        Delays::default(),
        until,
        &mut |_job| ControlFlow::Continue(()),
    )?;
    for receipt in &worked.receipts {
        writeln!(output, "{}", receipt_in_words(receipt))?;
    }
    Ok(())
}

fn receipt_in_words(receipt: &Receipt) -> String {
    let how = match &receipt.settled {
        Settled::Accepted { warning: None } => "sent".to_owned(),
        Settled::Accepted {
            warning: Some(warning),
        } => format!("sent; {warning}"),
        Settled::FoundThere => "sent before, as the archive says".to_owned(),
        Settled::Cancelled => "taken back".to_owned(),
    };
    format!("{}: {}: {how}", receipt.archive, receipt.object.instance)
}

/// Lists what waits in the queue, and says whether nothing does.
fn list(queue: &Queue, output: &mut dyn Write) -> anyhow::Result<bool> {
    let listing = queue.listing()?;
    for job in &listing.jobs {
        writeln!(output, "{}", job_in_words(job))?;
    }
    for damage in &listing.damaged {
        writeln!(
            output,
            "damaged: {}: {}",
            damage.path.display(),
            damage.reason
        )?;
    }
    Ok(listing.jobs.is_empty() && listing.damaged.is_empty())
}

fn job_in_words(job: &Job) -> String {
    let state = match job.state {
        JobState::Waiting { .. } => "waiting",
        JobState::Sending { .. } => "being sent",
        JobState::InDoubt { .. } => "in doubt, the archive will be asked",
        JobState::Refused => "refused, waiting for --retry or --cancel",
    };
    let reason = job.last_reason.as_deref();
    let reason = reason.map_or_else(String::new, |reason| format!(": {reason}"));
    format!(
        "{}  {}: {}: {state} (tries: {}){reason}",
        job.id, job.archive, job.object.instance, job.tries
    )
}
