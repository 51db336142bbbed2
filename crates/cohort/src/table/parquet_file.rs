//! Parquet by plain columns: every column may lack values, numbers are 64 bits, text is UTF-8.

use std::{fs::File, io::BufWriter, path::Path, sync::Arc};

use parquet::{
    basic::{Compression, LogicalType, Repetition, Type as PhysicalType},
    data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type},
    errors::{ParquetError, Result},
    file::{
        metadata::KeyValue,
        properties::WriterProperties,
        reader::{FileReader as _, SerializedFileReader},
        writer::{SerializedFileWriter, SerializedRowGroupWriter},
    },
    schema::types::Type,
};
use tempfile::NamedTempFile;

use super::{Cell, Column, ColumnKind};

/// So many rows are held before they are written.
const ROWS_HELD: usize = 4_096;

/// A Parquet file that is being written.
pub(super) struct ParquetFile {
    writer: SerializedFileWriter<BufWriter<NamedTempFile>>,
    columns: Vec<Held>,
    rows: usize,
}

impl std::fmt::Debug for ParquetFile {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("ParquetFile")
            .field("rows_held", &self.rows)
            .finish_non_exhaustive()
    }
}

/// The values of a column that are still to be written, and which rows have one.
enum Held {
    Text(Values<ByteArray>),
    Number(Values<f64>),
    Integer(Values<i64>),
}

struct Values<T> {
    values: Vec<T>,
    /// 1 for a row with a value, 0 for one without.
    levels: Vec<i16>,
}

impl<T> Values<T> {
    const fn none() -> Self {
        Self {
            values: Vec::new(),
            levels: Vec::new(),
        }
    }

    fn add(&mut self, value: Option<T>) {
        self.levels.push(i16::from(value.is_some()));
        self.values.extend(value);
    }
}

impl ParquetFile {
    pub(super) fn begin(
        file: NamedTempFile,
        columns: &[Column],
        note: Option<(&str, &str)>,
    ) -> Result<Self> {
        let fields = columns
            .iter()
            .map(|column| Ok(Arc::new(field(column)?)))
            .collect::<Result<Vec<_>>>()?;
        let schema = Type::group_type_builder("table")
            .with_fields(fields)
            .build()?;
        let notes = note.map(|(key, value)| vec![KeyValue::new(key.to_owned(), value.to_owned())]);
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(crate::index::PROGRAM.to_owned())
            .set_key_value_metadata(notes)
            .build();
        let writer = SerializedFileWriter::new(
            BufWriter::new(file),
            Arc::new(schema),
            Arc::new(properties),
        )?;
        let columns = columns
            .iter()
            .map(|column| match column.kind {
                ColumnKind::Text => Held::Text(Values::none()),
                ColumnKind::Number => Held::Number(Values::none()),
                ColumnKind::Integer => Held::Integer(Values::none()),
            })
            .collect();
        Ok(Self {
            writer,
            columns,
            rows: 0,
        })
    }

    pub(super) fn add(&mut self, row: &[Cell]) -> Result<()> {
        if row.len() != self.columns.len() {
            return Err(ParquetError::General(format!(
                "{} cells for {} columns",
                row.len(),
                self.columns.len()
            )));
        }
        for (held, cell) in self.columns.iter_mut().zip(row) {
            match (held, cell) {
                (Held::Text(held), Cell::Text(text)) => {
                    held.add(text.as_deref().map(ByteArray::from));
                }
                (Held::Number(held), Cell::Number(number)) => held.add(*number),
                (Held::Integer(held), Cell::Integer(number)) => held.add(*number),
                _ => {
                    return Err(ParquetError::General(
                        "a cell of another kind than its column".to_owned(),
                    ));
                }
            }
        }
        self.rows += 1;
        if self.rows >= ROWS_HELD {
            self.write_held()?;
        }
        Ok(())
    }

    fn write_held(&mut self) -> Result<()> {
        if self.rows == 0 {
            return Ok(());
        }
        let mut group = self.writer.next_row_group()?;
        for held in &mut self.columns {
            match held {
                Held::Text(values) => write::<ByteArrayType, _>(&mut group, values)?,
                Held::Number(values) => write::<DoubleType, _>(&mut group, values)?,
                Held::Integer(values) => write::<Int64Type, _>(&mut group, values)?,
            }
        }
        group.close()?;
        self.rows = 0;
        Ok(())
    }

    pub(super) fn finish(mut self) -> Result<NamedTempFile> {
        self.write_held()?;
        self.writer
            .into_inner()?
            .into_inner()
            .map_err(|problem| ParquetError::External(Box::new(problem.into_error())))
    }
}

fn field(column: &Column) -> Result<Type> {
    let (physical, logical) = match column.kind {
        ColumnKind::Text => (PhysicalType::BYTE_ARRAY, Some(LogicalType::String)),
        ColumnKind::Number => (PhysicalType::DOUBLE, None),
        ColumnKind::Integer => (PhysicalType::INT64, None),
    };
    Type::primitive_type_builder(&column.name, physical)
        .with_logical_type(logical)
        .with_repetition(Repetition::OPTIONAL)
        .build()
}

fn write<D: DataType<T = T>, T>(
    group: &mut SerializedRowGroupWriter<'_, BufWriter<NamedTempFile>>,
    held: &mut Values<T>,
) -> Result<()> {
    let mut column = group
        .next_column()?
        .ok_or_else(|| ParquetError::General("a column too many".to_owned()))?;
    column
        .typed::<D>()
        .write_batch(&held.values, Some(&held.levels), None)?;
    held.values.clear();
    held.levels.clear();
    column.close()
}

/// A note in the footer of a Parquet file; nothing where the file is none, is cut short, or has no such note.
pub(crate) fn note_of(path: &Path, key: &str) -> Option<String> {
    let reader = SerializedFileReader::new(File::open(path).ok()?).ok()?;
    let notes = reader.metadata().file_metadata().key_value_metadata()?;
    notes.iter().find(|note| note.key == key)?.value.clone()
}
