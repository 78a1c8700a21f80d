use std::io::{Cursor, Read, copy, sink};

use zip::ZipArchive;

const MB: u64 = 1 << 20;

/// The most entries of an archive that are looked at.
const MOST_ENTRIES: usize = 4096;

/// What reading a spreadsheet may still cost, so that with what calamine needs beside it stays below
/// 20 times the file and 100 MB.
pub(super) struct SheetBudget {
    left: u64,
}

impl SheetBudget {
    /// That of a file as it is.
    pub fn of_file(bytes: &[u8]) -> Self {
        SheetBudget { left: 5 * bytes.len() as u64 + 40 * MB }
    }

    /// That of an archive, which is unpacked once for its size alone: what its directory says of
    /// sizes need not be so.
    ///
    /// # Errors
    /// When it is no archive, or unpacks to more than a spreadsheet of its size does.
    pub fn of_archive(bytes: &[u8]) -> Result<Self, String> {
        let most = 6 * bytes.len() as u64 + 32 * MB;
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
        if archive.len() > MOST_ENTRIES {
            return Err(format!(
                "it holds {} files, expected at most {MOST_ENTRIES}",
                archive.len()
            ));
        }
        let mut left = most;
        for number in 0..archive.len() {
            let entry = archive.by_index(number).map_err(|error| error.to_string())?;
            let unpacked =
                copy(&mut entry.take(left + 1), &mut sink()).map_err(|error| error.to_string())?;
            left = left.checked_sub(unpacked).ok_or_else(|| {
                format!(
                    "it unpacks to more than {} MB, more than a spreadsheet of its size does; save the sheet as CSV",
                    most / MB
                )
            })?;
        }
        Ok(SheetBudget::of_file(bytes))
    }

    /// Takes so many bytes of it.
    pub fn take(&mut self, bytes: usize) -> Result<(), String> {
        self.left = self.left.checked_sub(bytes as u64).ok_or(
            "its sheets hold more than a laboratory's do; save the one with the samples as CSV",
        )?;
        Ok(())
    }
}
