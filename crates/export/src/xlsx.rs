//! XLSX: one sheet a table. Texts are written as texts, never as formulas.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

use crate::ExportError;
use crate::table::{Cell, Table};

/// Tables as one workbook.
///
/// # Errors
/// [`ExportError::Writer`]: a table that is too large for a sheet.
pub fn xlsx(title: &str, tables: &[Table]) -> Result<Vec<u8>, ExportError> {
    write(title, tables).map_err(|e| ExportError::Writer { format: "XLSX", message: e.to_string() })
}

fn write(title: &str, tables: &[Table]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A fixed date: the same tables give the same bytes.
    let date = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let title: String = title.chars().filter(|c| !c.is_control()).take(200).collect();
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&date));
    let bold = Format::new().set_bold();
    for table in tables {
        let sheet = book.add_worksheet();
        sheet.set_name(&table.name)?;
        for (column, head) in (0u16..).zip(&table.heads) {
            sheet.write_string_with_format(0, column, head, &bold)?;
        }
        for (row, cells) in (1u32..).zip(&table.rows) {
            for (column, cell) in (0u16..).zip(cells) {
                match cell {
                    Cell::Blank => {}
                    Cell::Text(text) => {
                        let clean: String = text.chars().filter(|c| !c.is_control()).collect();
                        sheet.write_string(row, column, clean)?;
                    }
                    Cell::Number(value, decimals) => {
                        let shown =
                            if *decimals == 0 { "0".to_string() } else { format!("0.{}", "0".repeat(*decimals)) };
                        sheet.write_number_with_format(row, column, *value, &Format::new().set_num_format(shown))?;
                    }
                }
            }
        }
        sheet.set_freeze_panes(1, 0)?;
        sheet.autofit();
    }
    book.save_to_buffer()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_tables_give_the_same_bytes() {
        let mut table = Table::new("cut list", &["mark", "mm"]);
        table.rows.push(vec!["=1+1".into(), Cell::Number(12.5, 1)]);
        let first = xlsx("x", std::slice::from_ref(&table)).unwrap();
        assert_eq!(first, xlsx("x", &[table]).unwrap());
        assert!(first.starts_with(b"PK"));
    }
}
