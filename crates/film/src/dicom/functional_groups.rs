//! Where enhanced multi-frame objects keep what others keep at the top (PS3.3 C.7.6.16).

use dicom_core::Tag;
use dicom_dictionary_std::tags;

use super::element::DataSet;

/// The functional groups of the first frame, its own before those that all frames share.
pub(super) struct FunctionalGroups<'a> {
    of_the_frame: Option<DataSet<'a>>,
    shared: Option<DataSet<'a>>,
}

impl<'a> FunctionalGroups<'a> {
    pub(super) fn read(data_set: &DataSet<'a>) -> Self {
        Self {
            of_the_frame: data_set.first_item(tags::PER_FRAME_FUNCTIONAL_GROUPS_SEQUENCE),
            shared: data_set.first_item(tags::SHARED_FUNCTIONAL_GROUPS_SEQUENCE),
        }
    }

    /// The first item of a functional group.
    pub(super) fn first(&self, group: Tag) -> Option<DataSet<'a>> {
        [&self.of_the_frame, &self.shared]
            .into_iter()
            .flatten()
            .find_map(|holder| holder.first_item(group))
    }
}
