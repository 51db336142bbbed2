//! A connection that is made again when it breaks.

use std::{fmt, thread, time::Duration};

use postgres::{Client, Config, NoTls, Transaction, config::Host, error::SqlState};

use super::super::{IndexError, SCHEMA_VERSION};

/// How often something is tried: with the waits between, for about half a minute.
const ATTEMPTS: u32 = 9;

/// The first wait; each further one is twice as long, up to [`LONGEST_WAIT`].
const FIRST_WAIT: Duration = Duration::from_millis(100);
const LONGEST_WAIT: Duration = Duration::from_secs(8);

/// How long a server is waited for that does not answer.
const CONNECTING: Duration = Duration::from_secs(10);

/// The lock under which tables are made: "Plumbray" as a number.
const LOCK: i64 = i64::from_be_bytes(*b"Plumbray");

const TABLES: &str = r#"
CREATE TABLE plumbray_index.about (version INTEGER NOT NULL);
CREATE TABLE plumbray_index.study (
    series TEXT COLLATE "C" NOT NULL,
    path TEXT COLLATE "C" NOT NULL,
    folder TEXT COLLATE "C" NOT NULL,
    side TEXT COLLATE "C" NOT NULL,
    size BIGINT NOT NULL,
    modified BIGINT NOT NULL,
    read_at BIGINT NOT NULL,
    hash TEXT,
    program TEXT NOT NULL,
    facts JSONB,
    problem TEXT,
    PRIMARY KEY (series, path)
);
CREATE TABLE plumbray_index.time_line (
    series TEXT COLLATE "C" NOT NULL,
    path TEXT COLLATE "C" NOT NULL,
    size BIGINT NOT NULL,
    modified BIGINT NOT NULL,
    read_at BIGINT NOT NULL,
    hash TEXT,
    program TEXT NOT NULL,
    problem TEXT,
    PRIMARY KEY (series, path)
);
CREATE TABLE plumbray_index.visit (
    series TEXT COLLATE "C" NOT NULL,
    time_line TEXT COLLATE "C" NOT NULL,
    place INTEGER NOT NULL,
    study TEXT COLLATE "C" NOT NULL,
    occasion TEXT,
    name TEXT,
    PRIMARY KEY (series, time_line, place)
);
CREATE INDEX visit_by_study ON plumbray_index.visit (series, study, time_line);
"#;

/// A connection to a PostgreSQL server, with what is needed to make it again.
pub(super) struct Session {
    config: Config,
    place: String,
    client: Option<Client>,
}

// A configuration may hold a password.
impl fmt::Debug for Session {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Session")
            .field("place", &self.place)
            .finish_non_exhaustive()
    }
}

impl Session {
    /// Connects, and makes the tables where there are none.
    pub(super) fn start(address: &str) -> Result<Self, IndexError> {
        // What the parser says of an address may repeat a part of it.
        let mut config: Config = address
            .parse()
            .map_err(|_may_repeat_it| IndexError::NotAnAddress)?;
        if config.get_password().is_none()
            && let Ok(password) = std::env::var("PGPASSWORD")
        {
            config.password(password);
        }
        config.application_name("plumbray");
        if config.get_connect_timeout().is_none() {
            config.connect_timeout(CONNECTING);
        }
        let mut session = Self {
            place: place_of(&config),
            config,
            client: None,
        };
        session.prepare()?;
        Ok(session)
    }

    pub(super) fn place(&self) -> &str {
        &self.place
    }

    /// Does something in one short transaction, and again from the start where the server says that another writer
    /// came between, or where the connection broke. What is done must therefore come to the same when it is done
    /// twice.
    pub(super) fn transaction<T>(
        &mut self,
        does: impl FnMut(&mut Transaction<'_>) -> Result<T, postgres::Error>,
    ) -> Result<T, IndexError> {
        let mut does = does;
        let mut wait = FIRST_WAIT;
        for attempt in 1.. {
            let problem = match self.attempt(&mut does) {
                Ok(done) => return Ok(done),
                Err(problem) => problem,
            };
            if problem.is_closed() || problem.code().is_none() {
                self.client = None;
            }
            if attempt >= ATTEMPTS || !is_passing(&problem) {
                return Err(self.told(&problem));
            }
            // Writers that met once should not meet again.
            let share = 0.5 + 0.5 * jitter(attempt);
            thread::sleep(wait.mul_f64(share));
            wait = (wait * 2).min(LONGEST_WAIT);
        }
        unreachable!("the loop above ends by itself")
    }

    fn attempt<T>(
        &mut self,
        does: &mut impl FnMut(&mut Transaction<'_>) -> Result<T, postgres::Error>,
    ) -> Result<T, postgres::Error> {
        let mut transaction = self.client()?.transaction()?;
        let done = does(&mut transaction)?;
        transaction.commit()?;
        Ok(done)
    }

    /// Does something once, without trying again.
    pub(super) fn once<T>(
        &mut self,
        does: impl FnOnce(&mut Client) -> Result<T, postgres::Error>,
    ) -> Result<T, IndexError> {
        // A connection that broke since it was used last is noticed, and made again, by something that can be done
        // twice.
        self.transaction(|client| client.execute("SELECT 1", &[]))?;
        let done = self.client().and_then(does);
        done.map_err(|problem| {
            self.client = None;
            self.told(&problem)
        })
    }

    fn client(&mut self) -> Result<&mut Client, postgres::Error> {
        let client = match self.client.take() {
            Some(client) if !client.is_closed() => client,
            _ => self.config.connect(NoTls)?,
        };
        Ok(self.client.insert(client))
    }

    /// Makes the tables where there are none, one program at a time.
    fn prepare(&mut self) -> Result<(), IndexError> {
        let found: i32 = self.transaction(|client| {
            let version = |client: &mut Transaction<'_>| -> Result<Option<i32>, postgres::Error> {
                let there: bool = client
                    .query_one("SELECT to_regclass('plumbray_index.about') IS NOT NULL", &[])?
                    .try_get(0)?;
                if !there {
                    return Ok(None);
                }
                let row = client.query_opt("SELECT version FROM plumbray_index.about", &[])?;
                row.map(|row| row.try_get(0)).transpose()
            };
            let known = i32::try_from(SCHEMA_VERSION).unwrap_or(i32::MAX);
            if let Some(found) = version(client)?
                && found >= known
            {
                return Ok(found);
            }
            client.execute("SELECT pg_advisory_xact_lock($1)", &[&LOCK])?;
            // Another program may have been here while this one waited.
            if let Some(found) = version(client)?
                && found >= known
            {
                return Ok(found);
            }
            // Tables of an older version hold nothing that the files would not give again. The schema may be there
            // already: an administrator made it for users who may make none.
            client.batch_execute(
                "CREATE SCHEMA IF NOT EXISTS plumbray_index;
                 DROP TABLE IF EXISTS plumbray_index.visit, plumbray_index.time_line, plumbray_index.study, plumbray_index.about;",
            )?;
            client.batch_execute(TABLES)?;
            client.execute("INSERT INTO plumbray_index.about (version) VALUES ($1)", &[&known])?;
            Ok(known)
        })?;
        if u32::try_from(found).is_ok_and(|found| found > SCHEMA_VERSION) {
            return Err(IndexError::Newer {
                place: self.place.clone(),
                found,
                known: SCHEMA_VERSION,
            });
        }
        Ok(())
    }

    fn told(&self, problem: &postgres::Error) -> IndexError {
        let what = problem.as_db_error().map_or_else(
            || {
                let cause = std::error::Error::source(problem);
                cause.map_or_else(
                    || problem.to_string(),
                    |cause| format!("{problem}: {cause}"),
                )
            },
            |said| said.message().to_owned(),
        );
        IndexError::Postgres {
            place: self.place.clone(),
            advice: advice(problem, &what),
            what,
        }
    }
}

fn advice(problem: &postgres::Error, what: &str) -> &'static str {
    if what.contains("TLS") {
        return "this program speaks to PostgreSQL without TLS: use a socket, a tunnel or a network that you trust, without sslmode=require";
    }
    match problem.code() {
        Some(code)
            if *code == SqlState::INVALID_PASSWORD
                || *code == SqlState::INVALID_AUTHORIZATION_SPECIFICATION =>
        {
            "check the user, and give the password in PGPASSWORD"
        }
        Some(code) if *code == SqlState::INVALID_CATALOG_NAME => "make the database first",
        Some(code) if *code == SqlState::INSUFFICIENT_PRIVILEGE => {
            "ask for the right to create a schema in this database, or to write to its schema plumbray_index"
        }
        Some(_) => "ask whoever looks after the database",
        None => "check that the server runs and can be reached",
    }
}

/// Whether the same may succeed a moment later.
fn is_passing(problem: &postgres::Error) -> bool {
    let Some(code) = problem.code() else {
        // Without a word of the server it is the connection, unless something here is wrong with the configuration
        // or a type.
        return problem.is_closed()
            || std::error::Error::source(problem)
                .is_some_and(<dyn std::error::Error>::is::<std::io::Error>);
    };
    [
        SqlState::T_R_SERIALIZATION_FAILURE,
        SqlState::T_R_DEADLOCK_DETECTED,
        SqlState::LOCK_NOT_AVAILABLE,
        SqlState::ADMIN_SHUTDOWN,
        SqlState::CRASH_SHUTDOWN,
        SqlState::CANNOT_CONNECT_NOW,
        SqlState::TOO_MANY_CONNECTIONS,
    ]
    .contains(code)
        || code.code().starts_with("08")
}

/// A number from 0 to 1 that differs between programs and attempts.
fn jitter(attempt: u32) -> f64 {
    let seed = format!("{} {attempt}", std::process::id());
    f64::from(blake3::hash(seed.as_bytes()).as_bytes()[0]) / f64::from(u8::MAX)
}

/// The database in words, without a password.
fn place_of(config: &Config) -> String {
    let hosts: Vec<String> = config
        .get_hosts()
        .iter()
        .map(|host| match host {
            Host::Tcp(name) => name.clone(),
            #[cfg(unix)]
            Host::Unix(folder) => folder.display().to_string(),
        })
        .collect();
    let user = config
        .get_user()
        .map_or_else(String::new, |user| format!("{user}@"));
    let ports: Vec<String> = config.get_ports().iter().map(u16::to_string).collect();
    let port = if ports.is_empty() {
        String::new()
    } else {
        format!(":{}", ports.join(","))
    };
    let database = config.get_dbname().unwrap_or_default();
    format!("postgresql://{user}{}{port}/{database}", hosts.join(","))
}
