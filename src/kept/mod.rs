//! What a file says in fields that this program does not know: kept beside what it belongs to, so that a file of a
//! later program is saved with all that was in it.

/// Fields that were found where a toy, a part, a yarn or an added thing is described, and that nothing reads.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// The fields, in the order of the file.
    pub fields: Vec<KeptField>,
    /// Minor version of the file, where it is later than this program's; 0 where it is not.
    pub minor: u32,
}

/// A field that nothing reads.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeptField {
    /// Names of the fields that lead from the owner to where it stands, with dots between; empty where it stands in
    /// the owner itself.
    pub within: String,
    /// Name of the choice it stands in (`Floor` of `Floor(…)`); empty in a plain structure.
    pub choice: String,
    /// Its name.
    pub name: String,
    /// Its value as the file has it.
    pub value: String,
}
