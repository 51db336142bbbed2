//! Where enhanced multi-frame objects keep what others keep at the top (PS3.3 C.7.6.16).

use dicom_core::Tag;
use dicom_dictionary_std::tags;

use super::element::DataSet;

/// The functional groups of a frame, its own before those that all frames share.
pub(super) struct FunctionalGroups<'a> {
    of_the_frame: Option<DataSet<'a>>,
    shared: Option<DataSet<'a>>,
}

impl<'a> FunctionalGroups<'a> {
    /// Those of the frame at this place, counted from 0.
    pub(super) fn read(data_set: &DataSet<'a>, frame: usize) -> Self {
        Self {
            of_the_frame: data_set
                .items(tags::PER_FRAME_FUNCTIONAL_GROUPS_SEQUENCE)
                .nth(frame),
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
