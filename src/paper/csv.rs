//! Tables as comma-separated values, by RFC 4180.

use csv::{Terminator, WriterBuilder};

/// A table as a file. Its lines end with CR and LF.
///
/// # Errors
///
/// [`csv::Error`] if a row cannot be written.
pub fn table<const N: usize>(rows: impl IntoIterator<Item = [String; N]>) -> Result<Vec<u8>, csv::Error> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(&row)?;
    }
    writer.into_inner().map_err(|unwritten| unwritten.into_error().into())
}

#[cfg(test)]
mod tests {
    use super::table;

    #[test]
    fn a_parser_of_the_standard_reads_what_was_written() {
        let rows = [["plain", "a, b", "say \"so\""], ["", "two\r\nlines", " spaces "], ["\"", "ö−", ","]];
        let text = table(rows.map(|row| row.map(str::to_owned))).unwrap();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_slice());
        let read: Vec<Vec<String>> =
            reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
        assert_eq!(read, rows.map(|row| row.map(str::to_owned).to_vec()));
    }
}
