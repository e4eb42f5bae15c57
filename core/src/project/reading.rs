//! Reading a project file, every bound checked: what a member says of itself, what it turns out to be, and what it may be at most.

use super::container::DRAWINGS;
use super::error::ProjectError;
use super::versions::{self, project_within};
use super::{
    Bytes, DESCRIPTION, KEPT_MAP, LARGEST_DRAWING, LARGEST_FILE, LARGEST_MAP, LARGEST_PACKED_DRAWING, LONGEST_DESCRIPTION, MOST_OTHERS,
    MOST_UNPACKED, Opened, other_plates,
};
use flate2::Crc;
use std::io::{Cursor, Read};
use zip::{CompressionMethod, ZipArchive};

/// What may still be unpacked of a file, of all its plates together.
struct Left {
    bytes: u64,
    values: usize,
}

/// Reads a project file. Members that are not ours are passed over: other programs leave such.
///
/// # Errors
/// Whatever is not a whole project file of this or an earlier version, in a sentence; its other plates too, and none of those has others in it.
pub fn read(file: &[u8]) -> Result<Opened, ProjectError> {
    if file.len() as u64 > LARGEST_FILE {
        return Err(ProjectError::Large { member: "the whole".to_owned(), most: LARGEST_FILE });
    }
    let mut left = Left { bytes: MOST_UNPACKED, values: versions::MOST_VALUES };
    let (mut opened, others) = plate(file, &mut left)?;
    for (name, held) in opened.project.family.iter().zip(others) {
        let wrong = |cause: ProjectError| ProjectError::Plate { member: name.clone(), cause: Box::new(cause) };
        let (mut other, nested) = plate(held.of(file), &mut left).map_err(wrong)?;
        if !nested.is_empty() {
            return Err(wrong(ProjectError::Family { cause: "a plate of a family has no family of its own in it".to_owned() }));
        }
        other.drawing = match (other.drawing, held) {
            (Bytes::At(within), Bytes::At(place)) => Bytes::At(place.start + within.start..place.start + within.end),
            (Bytes::At(within), Bytes::Own(bytes)) => Bytes::Own(bytes.get(within).unwrap_or_default().to_vec()),
            (own, _) => own,
        };
        opened.family.push(other);
    }
    Ok(opened)
}

/// One plate's file, and where those of the others are.
fn plate(file: &[u8], left: &mut Left) -> Result<(Opened, Vec<Bytes>), ProjectError> {
    if !file.starts_with(b"PK\x03\x04") {
        return Err(ProjectError::NotZip);
    }
    let mut archive = ZipArchive::new(Cursor::new(file)).map_err(|error| ProjectError::Broken { cause: plain(&error) })?;
    // A family's file that is cut short may end where another plate's file within it does, and would be taken for that one.
    if archive.offset() != 0 {
        return Err(ProjectError::Broken { cause: "its end belongs to a file within it".to_owned() });
    }
    if let Some(name) = twice(file, archive.central_directory_start()) {
        return Err(ProjectError::Damaged { member: name, cause: "it is there twice".to_owned() });
    }
    let description = member(&mut archive, DESCRIPTION, LONGEST_DESCRIPTION, left)?;
    let description = description.ok_or_else(|| ProjectError::Missing { member: DESCRIPTION.to_owned() })?;
    let project = project_within(&description, &mut left.values)?;
    let kept = match &project.done.kept {
        Some(_) => {
            Some(member(&mut archive, KEPT_MAP, LARGEST_MAP, left)?.ok_or_else(|| ProjectError::Missing { member: KEPT_MAP.to_owned() })?)
        }
        None => None,
    };
    let name = DRAWINGS.into_iter().find(|name| archive.index_for_name(name).is_some());
    let name = name.ok_or_else(|| ProjectError::Missing { member: "drawing".to_owned() })?;
    let drawing = whole(&mut archive, name, file, left)?;
    if project.family.len() > MOST_OTHERS {
        return Err(ProjectError::Many { plates: project.family.len() + 1 });
    }
    if project.family != other_plates(project.family.len()) {
        return Err(ProjectError::Family { cause: format!("they are not named {} and on", other_plates(1).concat()) });
    }
    let others = project.family.iter().map(|name| whole(&mut archive, name, file, left)).collect::<Result<_, _>>()?;
    Ok((Opened { project, drawing, kept, family: Vec::new() }, others))
}

/// The first of our members that the central directory (APPNOTE 4.3.12) names twice: one reader would take the first, another the last.
fn twice(file: &[u8], directory: u64) -> Option<String> {
    let mut rest = usize::try_from(directory).ok().and_then(|at| file.get(at..)).unwrap_or_default();
    let mut found = Vec::new();
    let plates = other_plates(MOST_OTHERS);
    while let Some(header) = rest.get(..46).filter(|header| header.starts_with(b"PK\x01\x02")) {
        let length = |at: usize| usize::from(u16::from_le_bytes([header[at], header[at + 1]]));
        let (name, more) = (length(28), length(30) + length(32));
        let named = rest.get(46..46 + name).unwrap_or_default();
        let ours = DRAWINGS.into_iter().chain([DESCRIPTION, KEPT_MAP]).chain(plates.iter().map(String::as_str));
        if let Some(ours) = { ours }.find(|ours| ours.as_bytes() == named).map(str::to_owned) {
            if found.contains(&ours) {
                return Some(ours);
            }
            found.push(ours);
        }
        rest = rest.get(46 + name + more..).unwrap_or_default();
    }
    None
}

/// Without the end of sentence that some of the reader's words have.
fn plain(error: &impl ToString) -> String {
    error.to_string().trim_end_matches('.').to_owned()
}

/// A member's bytes; none: it is not there.
fn member(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str, most: u64, left: &mut Left) -> Result<Option<Vec<u8>>, ProjectError> {
    let damaged = |cause: String| ProjectError::Damaged { member: name.to_owned(), cause };
    let Some(index) = archive.index_for_name(name) else { return Ok(None) };
    let mut packed = archive.by_index(index).map_err(|error| damaged(plain(&error)))?;
    if packed.size() > most {
        return Err(ProjectError::Large { member: name.to_owned(), most });
    }
    let said = packed.size();
    left.bytes =
        left.bytes.checked_sub(said).ok_or(ProjectError::Large { member: "the whole, unpacked,".to_owned(), most: MOST_UNPACKED })?;
    let mut bytes = Vec::new();
    // One byte more than it says: a member that says little and unpacks to much ends there. The reader compares the CRC at its end.
    packed.by_ref().take(said + 1).read_to_end(&mut bytes).map_err(|error| damaged(plain(&error)))?;
    if bytes.len() as u64 != said {
        return Err(damaged(format!("{said} bytes were expected and {} came", if bytes.len() as u64 > said { "more" } else { "fewer" })));
    }
    Ok(Some(bytes))
}

/// The drawing, or another plate's file: where it is stored it stays in the file.
fn whole(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str, file: &[u8], left: &mut Left) -> Result<Bytes, ProjectError> {
    let damaged = |cause: &str| ProjectError::Damaged { member: name.to_owned(), cause: cause.to_owned() };
    let missing = || ProjectError::Missing { member: name.to_owned() };
    let index = archive.index_for_name(name).ok_or_else(missing)?;
    let packed = archive.by_index(index).map_err(|error| damaged(&plain(&error)))?;
    let (size, crc) = (packed.size(), packed.crc32());
    let start = packed.data_start().filter(|_| packed.compression() == CompressionMethod::Stored && !packed.encrypted());
    drop(packed);
    let Some(start) = start else {
        return member(archive, name, LARGEST_PACKED_DRAWING, left)?.map(Bytes::Own).ok_or_else(missing);
    };
    if size > LARGEST_DRAWING {
        return Err(ProjectError::Large { member: name.to_owned(), most: LARGEST_DRAWING });
    }
    let range = usize::try_from(start).ok().zip(usize::try_from(size).ok()).and_then(|(start, size)| Some(start..start.checked_add(size)?));
    let range = range.filter(|range| range.end <= file.len()).ok_or_else(|| damaged("it ends past the end of the file"))?;
    let mut sum = Crc::new();
    sum.update(&file[range.clone()]);
    if crc != sum.sum() {
        return Err(damaged("its checksum is another"));
    }
    Ok(Bytes::At(range))
}

#[cfg(test)]
mod tests {
    use super::super::{CURRENT, Done, DrawingName, KeptId, Project, written};
    use super::*;
    use crate::archive::zipped;
    use crate::log::{Entry, What};
    use proptest::prelude::*;
    use serde_json::json;
    use std::io::Write;
    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    const DRAWING: &[u8] = b"\x89PNG\r\n\x1a\n and what else there is of a drawing";

    fn project(kept: bool) -> Project {
        let painted = Entry { at_ms: 1.75e12, note: "dry by ten".to_owned(), what: What::Painted { stop_out: 1, minutes: Some(12.5) } };
        Project {
            drawing: DrawingName { name: "ice house.png".to_owned() },
            settings: json!({ "tones": 10, "mark_mm": 0.1 }),
            done: Done { log: vec![painted], kept: kept.then(|| KeptId { id: "7".to_owned() }) },
            job: json!({ "title": "Ice house" }),
            family: Vec::new(),
        }
    }

    fn file() -> Vec<u8> {
        written(&project(true), DRAWING, Some(b"map"), &[]).unwrap()
    }

    fn said(file: &[u8]) -> String {
        let said = read(file).unwrap_err().to_string();
        assert!(said.ends_with('.') && !said.contains(".."), "{said}");
        said
    }

    /// A ZIP by another writer.
    fn other(members: &[(&str, &[u8])], method: CompressionMethod) -> Vec<u8> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in members {
            writer.start_file(*name, SimpleFileOptions::default().compression_method(method)).unwrap();
            writer.write_all(bytes).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    fn described() -> Vec<u8> {
        let file = written(&project(false), DRAWING, None, &[]).unwrap();
        member(&mut ZipArchive::new(Cursor::new(&file[..])).unwrap(), DESCRIPTION, u64::MAX >> 1, &mut Left { bytes: u64::MAX, values: 0 })
            .unwrap()
            .unwrap()
    }

    #[test]
    fn what_was_written_is_read_and_equal_work_gives_equal_bytes() {
        let file = file();
        assert_eq!(file, self::file());
        let opened = read(&file).unwrap();
        assert_eq!((&opened.project, opened.drawing.of(&file), opened.kept.as_deref()), (&project(true), DRAWING, Some(&b"map"[..])));
        assert!(matches!(opened.drawing, Bytes::At(_)), "the drawing stays where it is");
        let plain = written(&project(false), b"", None, &[]).unwrap();
        let opened = read(&plain).unwrap();
        assert_eq!((opened.project, opened.drawing.of(&plain), opened.kept), (project(false), &b""[..], None));
    }

    #[test]
    fn a_file_packed_again_by_another_program_opens() {
        let drawing = DRAWING.repeat(50);
        let members = [("drawing.png", &drawing[..]), ("__MACOSX/x", b"left by another"), (DESCRIPTION, &described())];
        for method in [CompressionMethod::Deflated, CompressionMethod::Stored] {
            let file = other(&members, method);
            assert_eq!(read(&file).unwrap().drawing.of(&file), drawing);
        }
        let archive = zipped(&[("drawing.png".to_owned(), drawing.clone()), (DESCRIPTION.to_owned(), described())]).unwrap();
        assert_eq!(read(&archive).unwrap().drawing.of(&archive), drawing);
    }

    #[test]
    fn everything_else_is_refused_in_a_sentence() {
        assert!(said(b"").contains("no project file") && said(DRAWING).contains("no project file"));
        let file = file();
        for cut in [4, 30, file.len() / 2, file.len() - 23] {
            assert!(said(&file[..cut]).contains("broken or cut short"), "{cut}");
        }
        let stored = CompressionMethod::Stored;
        assert!(said(&other(&[("a.txt", b"x")], stored)).contains("holds no project.json"));
        assert!(said(&other(&[(DESCRIPTION, &described())], stored)).contains("holds no drawing"));
        assert!(said(&other(&[(DESCRIPTION, b"{}")], stored)).contains("says no format"));
        let newer = String::from_utf8(described()).unwrap().replace(&format!("\"version\": {CURRENT}"), "\"version\": 9");
        assert!(said(&other(&[(DESCRIPTION, newer.as_bytes())], stored)).contains("version 9"));
        let whole = read(&file).unwrap();
        let Bytes::At(range) = whole.drawing else { panic!("stored") };
        for (at, name) in [(range.start + 20, "drawing.png"), (range.start - 42, "kept-map.png")] {
            let mut wrong = file.clone();
            wrong[at] ^= 1;
            assert!(said(&wrong).contains(&format!("{name} is damaged")), "{}", said(&wrong));
        }
        assert!(written(&project(true), DRAWING, None, &[]).is_err() && written(&project(false), DRAWING, Some(b"map"), &[]).is_err());
    }

    #[test]
    fn a_member_that_is_there_twice_is_refused() {
        // No writer does it; whoever reads may take the first or the last. Two names of one length, and then the second becomes the first.
        for (name, twin) in [("drawing.png", "drawing.pnh"), (DESCRIPTION, "project.jsom")] {
            let mut file = other(&[("drawing.png", DRAWING), (DESCRIPTION, &described()), (twin, b"another")], CompressionMethod::Stored);
            for at in 0..file.len() - twin.len() {
                if &file[at..at + twin.len()] == twin.as_bytes() {
                    file[at..at + twin.len()].copy_from_slice(name.as_bytes());
                }
            }
            assert!(said(&file).contains("twice"), "{}", said(&file));
        }
    }

    #[test]
    fn names_that_lead_out_of_a_folder_and_other_odd_members_are_passed_over() {
        let odd: [(&str, &[u8]); 5] =
            [("../drawing.png", b"x"), ("/project.json", b"x"), ("a/project.json", b"x"), ("C:\\project.json", b"x"), ("", b"x")];
        let ours = described();
        let members: Vec<(&str, &[u8])> = odd.into_iter().chain([("drawing.png", DRAWING), (DESCRIPTION, &ours[..])]).collect();
        let file = other(&members, CompressionMethod::Stored);
        assert_eq!(read(&file).unwrap().drawing.of(&file), DRAWING);
        // Without ours none of theirs stands in.
        assert!(said(&other(&odd, CompressionMethod::Stored)).contains("holds no project.json"));
    }

    #[test]
    fn a_member_that_unpacks_to_too_much_is_refused_before_it_does() {
        // 300 MB of zeros pack into 300 kB.
        let zeros = vec![0; LARGEST_PACKED_DRAWING as usize + (40 << 20)];
        let bomb = other(&[(DESCRIPTION, &described()), ("drawing.png", &zeros)], CompressionMethod::Deflated);
        assert!(bomb.len() < 1 << 20);
        assert!(said(&bomb).contains("larger than 256 MB"));
        // The same, saying it were small: the lengths in both its headers (APPNOTE 4.3.7, 4.3.12) are changed.
        let mut sly = bomb.clone();
        let length = (zeros.len() as u32).to_le_bytes();
        for at in 0..sly.len() - 4 {
            if sly[at..at + 4] == length {
                sly[at..at + 4].copy_from_slice(&1000_u32.to_le_bytes());
            }
        }
        assert!(said(&sly).contains("drawing.png is damaged"), "{}", said(&sly));
    }

    /// A family of so many plates beside the one at hand.
    fn family(others: usize) -> Vec<u8> {
        let project = Project { family: other_plates(others), ..project(true) };
        let plates: Vec<Vec<u8>> =
            (0..others).map(|k| written(&self::project(k % 2 == 0), DRAWING, (k % 2 == 0).then_some(b"map"), &[]).unwrap()).collect();
        written(&project, DRAWING, Some(b"map"), &plates).unwrap()
    }

    #[test]
    fn a_family_comes_back_with_every_drawing_where_it_lies() {
        for others in [0, 1, 3, MOST_OTHERS] {
            let file = family(others);
            let opened = read(&file).unwrap();
            assert_eq!((opened.family.len(), opened.drawing.of(&file)), (others, DRAWING));
            for (k, plate) in opened.family.iter().enumerate() {
                assert!(matches!(plate.drawing, Bytes::At(_)), "stored, and not copied");
                assert_eq!((plate.drawing.of(&file), &plate.project), (DRAWING, &project(k % 2 == 0)));
                assert_eq!(plate.kept.as_deref(), (k % 2 == 0).then_some(&b"map"[..]));
            }
        }
        // As another program would pack it again: unpacked, the plate's own bytes are held.
        let inner = written(&project(false), DRAWING, None, &[]).unwrap();
        let outer = versions::described(&Project { family: other_plates(1), ..project(false) }).unwrap();
        let packed = other(
            &[("drawing.png", DRAWING), (DESCRIPTION, outer.as_bytes()), ("plates/01.stepbite.zip", &inner)],
            CompressionMethod::Deflated,
        );
        let opened = read(&packed).unwrap();
        assert_eq!(opened.family[0].drawing.of(&packed), DRAWING);
        assert!(matches!(opened.family[0].drawing, Bytes::Own(_)));
    }

    #[test]
    fn families_that_are_none_are_refused_in_a_sentence() {
        let inner = written(&project(false), DRAWING, None, &[]).unwrap();
        let with = |named: Vec<String>, members: &[(&str, &[u8])]| {
            let outer = versions::described(&Project { family: named, ..project(false) }).unwrap();
            let ours: [(&str, &[u8]); 2] = [("drawing.png", DRAWING), (DESCRIPTION, outer.as_bytes())];
            other(&[&ours, members].concat(), CompressionMethod::Stored)
        };
        let one = "plates/01.stepbite.zip";
        assert!(said(&with(other_plates(1), &[])).contains("holds no plates/01.stepbite.zip"));
        assert!(
            said(&with(other_plates(1), &[(one, b"no zip")]))
                .contains("plate plates/01.stepbite.zip can't be used. This is no project file")
        );
        assert!(
            said(&with(vec!["plates/07.stepbite.zip".to_owned()], &[("plates/07.stepbite.zip", &inner)])).contains("do not fit together")
        );
        assert!(said(&with(vec![DESCRIPTION.to_owned()], &[])).contains("do not fit together"));
        assert!(said(&with(other_plates(30), &[])).contains("31 plates, and at most 30"));
        assert!(said(&with(other_plates(1), &[(one, &family(1))])).contains("no family of its own"));
        // The plate's own damage is the plate's.
        let mut hurt = inner.clone();
        let at = hurt.len() / 2;
        hurt[at] ^= 1;
        let words = said(&with(other_plates(1), &[(one, &hurt)]));
        assert!(words.contains("In this project file plate plates/01.stepbite.zip can't be used. "), "{words}");
        // Cut where the plate's file within it ends, it is not that plate.
        let whole = family(2);
        let ends: Vec<usize> = (4..whole.len()).filter(|at| whole[at - 4..].starts_with(b"PK\x05\x06")).map(|at| at + 18).collect();
        assert_eq!(ends.len(), 3);
        for end in &ends[..2] {
            assert!(said(&whole[..*end]).contains("its end belongs to a file within it"));
        }
        // One that is there twice, one too many to write, and names that are not those of what is written.
        let mut twice = with(other_plates(1), &[(one, &inner), ("plates/01.stepbite.zia", &inner)]);
        for at in 0..twice.len() - one.len() {
            if &twice[at..at + one.len()] == b"plates/01.stepbite.zia" {
                twice[at..at + one.len()].copy_from_slice(one.as_bytes());
            }
        }
        assert!(said(&twice).contains("twice"));
        let many = Project { family: other_plates(30), ..project(false) };
        assert!(written(&many, DRAWING, None, &vec![inner.clone(); 30]).unwrap_err().to_string().contains("at most 30"));
        assert!(written(&project(false), DRAWING, None, &[inner]).unwrap_err().to_string().contains("does not name"));
    }

    #[test]
    fn plates_that_unpack_to_too_much_together_are_refused() {
        // Five plates' files of 250 MB each, all one and the same 250 kB of the file: each alone would be taken.
        let zeros = vec![0; (LARGEST_PACKED_DRAWING - (4 << 20)) as usize];
        let outer = versions::described(&Project { family: other_plates(5), ..project(false) }).unwrap();
        let names = other_plates(5);
        let mut members: Vec<(&str, &[u8])> = vec![("drawing.png", DRAWING), (DESCRIPTION, outer.as_bytes())];
        members.extend(names.iter().map(|name| (name.as_str(), zeros.as_slice())));
        let bomb = other(&members, CompressionMethod::Deflated);
        assert!(bomb.len() < 2 << 20);
        assert!(said(&bomb).contains("the whole, unpacked, is larger than 1024 MB"), "{}", said(&bomb));
    }

    proptest! {
        #[test]
        fn a_damaged_family_never_panics_and_never_half_opens(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6), cut in prop::option::of(any::<prop::sample::Index>())) {
            let file = family(2);
            let whole = read(&file).unwrap();
            let mut damaged = file.clone();
            for (at, byte) in &changes {
                damaged[at.index(file.len())] = *byte;
            }
            if let Some(cut) = cut {
                damaged.truncate(cut.index(file.len()));
            }
            match read(&damaged) {
                Ok(opened) => {
                    for (a, b) in [&opened].into_iter().chain(&opened.family).zip([&whole].into_iter().chain(&whole.family)) {
                        prop_assert_eq!((&a.project, &a.kept), (&b.project, &b.kept));
                        prop_assert_eq!(a.drawing.of(&damaged), DRAWING);
                    }
                    prop_assert_eq!(opened.family.len(), 2);
                }
                Err(error) => prop_assert!(error.to_string().ends_with('.')),
            }
        }

        #[test]
        fn damage_never_panics_and_never_half_opens(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6), cut in prop::option::of(any::<prop::sample::Index>())) {
            let file = file();
            let whole = read(&file).unwrap();
            let mut damaged = file.clone();
            for (at, byte) in &changes {
                damaged[at.index(file.len())] = *byte;
            }
            if let Some(cut) = cut {
                damaged.truncate(cut.index(file.len()));
            }
            match read(&damaged) {
                Ok(opened) => {
                    prop_assert_eq!(&opened.project, &whole.project);
                    prop_assert_eq!(opened.drawing.of(&damaged), DRAWING);
                    prop_assert_eq!(&opened.kept, &whole.kept);
                }
                Err(error) => prop_assert!(error.to_string().ends_with('.')),
            }
        }

        #[test]
        fn any_bytes_after_a_zip_header_are_refused_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let mut file = b"PK\x03\x04".to_vec();
            file.extend(bytes);
            prop_assert!(read(&file).is_err());
        }
    }
}
