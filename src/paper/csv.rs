//! Tables as comma-separated values, by RFC 4180.

use csv::{Terminator, WriterBuilder};

/// What a spreadsheet may take for the beginning of a formula: OWASP, CSV Injection (from memory).
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A table as a file. Its lines end with CR and LF. A cell that a spreadsheet would take for a formula gets an
/// apostrophe before it, which makes it text.
///
/// # Errors
///
/// [`csv::Error`] if a row cannot be written.
pub fn table<const N: usize>(rows: impl IntoIterator<Item = [String; N]>) -> Result<Vec<u8>, csv::Error> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.map(guarded))?;
    }
    writer.into_inner().map_err(|unwritten| unwritten.into_error().into())
}

fn guarded(cell: String) -> String {
    if cell.starts_with(FORMULA) { format!("'{cell}") } else { cell }
}

#[cfg(test)]
mod tests {
    use super::table;

    #[test]
    fn no_cell_is_a_formula_for_a_spreadsheet() {
        let rows = [["=1+1", "+12V", "-1", "@A1", "\t=1", "\r=1"], ["a=1", "12+", "", " -", "'x", "1"]];
        let text = table(rows.map(|row| row.map(str::to_owned))).unwrap();
        let text = String::from_utf8(text).unwrap();
        assert_eq!(text, "'=1+1,'+12V,'-1,'@A1,'\t=1,\"'\r=1\"\r\na=1,12+,, -,'x,1\r\n");
    }

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
