//! The index of many workstations, in PostgreSQL.

mod session;

use std::{collections::BTreeMap, ops::ControlFlow};

use fallible_iterator::FallibleIterator as _;
use postgres::{GenericClient, Row};

use self::session::Session;
use super::{
    Batch, Columns, IndexError, IndexedRow, Known, PROGRAM, Table, content_columns, occasion_word,
    sqlite::size,
};
use crate::row::{FileStamp, folder_of};

const ROWS: &str = "
SELECT study.path, study.size, study.modified, study.hash, study.facts::text, study.problem,
       visit.time_line, visit.occasion, visit.name
FROM plumbray_index.study AS study
LEFT JOIN plumbray_index.visit AS visit ON visit.series = study.series AND visit.study = study.path
    AND visit.time_line = (
        SELECT MIN(other.time_line) FROM plumbray_index.visit AS other
        WHERE other.series = study.series AND other.study = study.path)
WHERE study.series = $1
ORDER BY COALESCE(visit.time_line, study.folder),
    CASE WHEN visit.time_line IS NULL THEN study.side ELSE '' END,
    COALESCE(visit.place, 0), study.path
";

/// A series in a PostgreSQL index.
#[derive(Debug)]
pub(super) struct PostgresStore {
    session: Session,
    series: String,
}

impl PostgresStore {
    /// Connects, and makes the tables where there are none.
    pub(super) fn connect(address: &str, series: &str) -> Result<Self, IndexError> {
        Ok(Self {
            session: Session::start(address)?,
            series: series.to_owned(),
        })
    }

    pub(super) fn place(&self) -> &str {
        self.session.place()
    }

    pub(super) fn clear(&mut self) -> Result<(), IndexError> {
        let series = &self.series;
        self.session.transaction(|client| {
            for table in ["visit", "time_line", "study"] {
                let forget = format!("DELETE FROM plumbray_index.{table} WHERE series = $1");
                client.execute(&forget, &[series])?;
            }
            Ok(())
        })
    }

    pub(super) fn known(
        &mut self,
        table: Table,
        paths: &[&str],
    ) -> Result<BTreeMap<String, Known>, IndexError> {
        let find = format!(
            "SELECT path, size, modified, read_at, hash, program FROM plumbray_index.{}
             WHERE series = $1 AND path = ANY($2)",
            table.name()
        );
        let series = &self.series;
        self.session.transaction(|client| {
            let rows = client.query(&find, &[series, &paths])?;
            rows.iter()
                .map(|row| {
                    let size: i64 = row.try_get(1)?;
                    let known = Known {
                        stamp: FileStamp {
                            size_bytes: size.unsigned_abs(),
                            modified_nanoseconds: row.try_get(2)?,
                        },
                        read_at: row.try_get(3)?,
                        hash: row.try_get(4)?,
                        program: row.try_get(5)?,
                    };
                    Ok((row.try_get(0)?, known))
                })
                .collect()
        })
    }

    pub(super) fn write(&mut self, batch: &Batch) -> Result<(), IndexError> {
        let studies = StudyColumns::of(batch)?;
        let series = &self.series;
        self.session.transaction(|client| {
            studies.put(client, series)?;
            put_time_lines(client, series, batch)?;
            touch(client, series, batch)
        })
    }

    pub(super) fn paths_after(
        &mut self,
        table: Table,
        after: Option<&str>,
        most: u32,
    ) -> Result<Vec<String>, IndexError> {
        let find = format!(
            "SELECT path FROM plumbray_index.{}
             WHERE series = $1 AND ($2::text IS NULL OR path > $2) ORDER BY path LIMIT $3",
            table.name()
        );
        let series = &self.series;
        self.session.transaction(|client| {
            let rows = client.query(&find, &[series, &after, &i64::from(most)])?;
            rows.iter().map(|row| row.try_get(0)).collect()
        })
    }

    pub(super) fn remove(&mut self, table: Table, paths: &[String]) -> Result<(), IndexError> {
        let series = &self.series;
        self.session.transaction(|client| {
            let forget = format!(
                "DELETE FROM plumbray_index.{} WHERE series = $1 AND path = ANY($2)",
                table.name()
            );
            client.execute(&forget, &[series, &paths])?;
            if table == Table::TimeLine {
                client.execute(
                    "DELETE FROM plumbray_index.visit WHERE series = $1 AND time_line = ANY($2)",
                    &[series, &paths],
                )?;
            }
            Ok(())
        })
    }

    pub(super) fn time_line_problems(&mut self, most: u32) -> Result<Vec<String>, IndexError> {
        let series = &self.series;
        self.session.transaction(|client| {
            let rows = client.query(
                "SELECT problem FROM plumbray_index.time_line
                 WHERE series = $1 AND problem IS NOT NULL ORDER BY path LIMIT $2",
                &[series, &i64::from(most)],
            )?;
            rows.iter().map(|row| row.try_get(0)).collect()
        })
    }

    /// Rows are handed over while they come, and so are not asked for again where the connection breaks.
    pub(super) fn each_row(
        &mut self,
        each: &mut dyn FnMut(IndexedRow) -> ControlFlow<()>,
    ) -> Result<(), IndexError> {
        let place = self.session.place().to_owned();
        let damaged = |what| IndexError::Damaged { place, what };
        let mut wrong = None;
        let series = self.series.clone();
        self.session.once(|client| {
            let mut rows = client.query_raw(ROWS, [series])?;
            while let Some(row) = rows.next()? {
                match columns_of(&row)?.into_row() {
                    Ok(row) => {
                        if each(row).is_break() {
                            break;
                        }
                    }
                    Err(what) => {
                        wrong = Some(what);
                        break;
                    }
                }
            }
            Ok(())
        })?;
        wrong.map_or(Ok(()), |what| Err(damaged(what)))
    }
}

fn columns_of(row: &Row) -> Result<Columns, postgres::Error> {
    Ok(Columns {
        path: row.try_get(0)?,
        size: row.try_get(1)?,
        modified: row.try_get(2)?,
        hash: row.try_get(3)?,
        facts: row.try_get(4)?,
        problem: row.try_get(5)?,
        time_line: row.try_get(6)?,
        occasion: row.try_get(7)?,
        name: row.try_get(8)?,
    })
}

/// The studies of a batch column by column, so that one statement writes all of them.
#[derive(Default)]
struct StudyColumns<'a> {
    read_at: i64,
    paths: Vec<&'a str>,
    folders: Vec<&'a str>,
    sides: Vec<&'static str>,
    sizes: Vec<i64>,
    modified: Vec<i64>,
    hashes: Vec<Option<&'a str>>,
    facts: Vec<Option<String>>,
    problems: Vec<Option<&'a str>>,
}

impl<'a> StudyColumns<'a> {
    fn of(batch: &'a Batch) -> Result<Self, IndexError> {
        let mut columns = Self {
            read_at: batch.read_at,
            ..Self::default()
        };
        let mut studies: Vec<_> = batch.studies.iter().collect();
        // All writers lock rows in one order, so that no two wait for each other.
        studies.sort_by(|one, other| one.path.cmp(&other.path));
        for row in studies {
            let (facts, problem) = content_columns(&row.content)?;
            let side = row.facts().and_then(|facts| facts.side);
            columns.paths.push(&row.path);
            columns.folders.push(folder_of(&row.path));
            columns
                .sides
                .push(side.map_or("", |side| side.identifier()));
            columns.sizes.push(size(row.stamp));
            columns.modified.push(row.stamp.modified_nanoseconds);
            columns.hashes.push(row.hash.as_deref());
            columns.facts.push(facts);
            columns.problems.push(problem);
        }
        Ok(columns)
    }

    fn put(&self, client: &mut impl GenericClient, series: &str) -> Result<(), postgres::Error> {
        if self.paths.is_empty() {
            return Ok(());
        }
        client.execute(
            "INSERT INTO plumbray_index.study
                 (series, path, folder, side, size, modified, hash, facts, problem, read_at, program)
             SELECT $1, path, folder, side, size, modified, hash, facts::jsonb, problem, $2, $3
             FROM UNNEST($4::text[], $5::text[], $6::text[], $7::bigint[], $8::bigint[], $9::text[],
                         $10::text[], $11::text[])
                 AS new (path, folder, side, size, modified, hash, facts, problem)
             ON CONFLICT (series, path) DO UPDATE SET
                 folder = EXCLUDED.folder, side = EXCLUDED.side, size = EXCLUDED.size,
                 modified = EXCLUDED.modified, hash = EXCLUDED.hash, facts = EXCLUDED.facts,
                 problem = EXCLUDED.problem, read_at = EXCLUDED.read_at, program = EXCLUDED.program",
            &[
                &series,
                &self.read_at,
                &PROGRAM,
                &self.paths,
                &self.folders,
                &self.sides,
                &self.sizes,
                &self.modified,
                &self.hashes,
                &self.facts,
                &self.problems,
            ],
        )?;
        Ok(())
    }
}

fn put_time_lines(
    client: &mut impl GenericClient,
    series: &str,
    batch: &Batch,
) -> Result<(), postgres::Error> {
    for line in &batch.time_lines {
        client.execute(
            "INSERT INTO plumbray_index.time_line
                 (series, path, size, modified, read_at, hash, program, problem)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
             ON CONFLICT (series, path) DO UPDATE SET
                 size = EXCLUDED.size, modified = EXCLUDED.modified, read_at = EXCLUDED.read_at,
                 hash = EXCLUDED.hash, program = EXCLUDED.program, problem = EXCLUDED.problem",
            &[
                &series,
                &line.path,
                &size(line.stamp),
                &line.stamp.modified_nanoseconds,
                &batch.read_at,
                &line.hash,
                &PROGRAM,
                &line.problem,
            ],
        )?;
        // The row of the time line is locked by now, so that no other writer puts visits in between.
        client.execute(
            "DELETE FROM plumbray_index.visit WHERE series = $1 AND time_line = $2",
            &[&series, &line.path],
        )?;
        for (place, visit) in (0_i32..).zip(&line.visits) {
            client.execute(
                "INSERT INTO plumbray_index.visit (series, time_line, place, study, occasion, name)
                 VALUES ($1, $2, $3, $4, $5, $6)",
                &[
                    &series,
                    &line.path,
                    &place,
                    &visit.study,
                    &visit.occasion.map(occasion_word),
                    &visit.name,
                ],
            )?;
        }
    }
    Ok(())
}

fn touch(
    client: &mut impl GenericClient,
    series: &str,
    batch: &Batch,
) -> Result<(), postgres::Error> {
    for table in [Table::Study, Table::TimeLine] {
        let mut touched: Vec<(&str, FileStamp)> = batch
            .touched
            .iter()
            .filter(|(of, _, _)| *of == table)
            .map(|(_, path, stamp)| (path.as_str(), *stamp))
            .collect();
        if touched.is_empty() {
            continue;
        }
        touched.sort_by_key(|(path, _)| *path);
        let paths: Vec<&str> = touched.iter().map(|(path, _)| *path).collect();
        let sizes: Vec<i64> = touched.iter().map(|(_, stamp)| size(*stamp)).collect();
        let modified: Vec<i64> = touched
            .iter()
            .map(|(_, stamp)| stamp.modified_nanoseconds)
            .collect();
        let set = format!(
            "UPDATE plumbray_index.{} AS known
             SET size = new.size, modified = new.modified, read_at = $2
             FROM UNNEST($3::text[], $4::bigint[], $5::bigint[]) AS new (path, size, modified)
             WHERE known.series = $1 AND known.path = new.path",
            table.name()
        );
        client.execute(&set, &[&series, &batch.read_at, &paths, &sizes, &modified])?;
    }
    Ok(())
}
