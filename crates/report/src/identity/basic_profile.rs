//! The Basic Application Level Confidentiality Profile: what becomes of each attribute (PS3.15 Annex E, table E.1-1).
//!
//! One line for each attribute that the table names, by tag, in the edition 2026c of the standard. The facts were taken
//! from the table as PyPI's `dicom-anonymizer` 2.1.0 publishes it, and `tests/tests/dicom_identity.rs` compares every
//! line with it again. What the table names by pattern stands in [`action`]. It is one table, so it is one file.

use dicom_core::Tag;

/// What becomes of an attribute, in the letters of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// D: a value that means nothing.
    D,
    /// Z: no value.
    Z,
    /// X: removed.
    X,
    /// U: a new identifier, the same one wherever the old one stood.
    U,
    /// Z/D: Z unless the object needs a value.
    ZD,
    /// X/Z: X unless the object needs the attribute.
    XZ,
    /// X/D: X unless the object needs a value.
    XD,
    /// X/Z/D: X unless the object needs the attribute, Z unless it needs a value.
    XZD,
    /// X/Z/U*: X or Z, or new identifiers within the sequence.
    XZU,
}

use Action::{D, U, X, XD, XZ, XZD, XZU, Z, ZD};

/// What the profile says of an attribute; nothing where it is kept.
#[must_use]
pub fn action(tag: Tag) -> Option<Action> {
    let Tag(group, _) = tag;
    // Private attributes; curves (50xx); of overlays (60xx) the table removes data and comments, without which
    // the rest describes nothing.
    let is_removed_by_pattern = group % 2 == 1 || matches!(group >> 8, 0x50 | 0x60);
    if is_removed_by_pattern {
        return Some(X);
    }
    let number = u32::from(group) << 16 | u32::from(tag.element());
    let at = BASIC_PROFILE.binary_search_by_key(&number, |(tag, _)| *tag);
    at.ok().map(|at| BASIC_PROFILE[at].1)
}

/// Tag and action, in the order of tags.
#[rustfmt::skip]
pub const BASIC_PROFILE: &[(u32, Action)] = &[
    (0x0000_1000, X), // Affected SOP Instance UID
    (0x0000_1001, U), // Requested SOP Instance UID
    (0x0002_0003, U), // Media Storage SOP Instance UID
    (0x0004_1511, U), // Referenced SOP Instance UID in File
    (0x0008_0012, XD), // Instance Creation Date
    (0x0008_0013, XZD), // Instance Creation Time
    (0x0008_0014, U), // Instance Creator UID
    (0x0008_0015, X), // Instance Coercion DateTime
    (0x0008_0017, U), // Acquisition UID
    (0x0008_0018, U), // SOP Instance UID
    (0x0008_0019, U), // Pyramid UID
    (0x0008_0020, Z), // Study Date
    (0x0008_0021, XD), // Series Date
    (0x0008_0022, XZ), // Acquisition Date
    (0x0008_0023, ZD), // Content Date
    (0x0008_0024, X), // Overlay Date
    (0x0008_0025, X), // Curve Date
    (0x0008_002A, XZD), // Acquisition DateTime
    (0x0008_0030, Z), // Study Time
    (0x0008_0031, XD), // Series Time
    (0x0008_0032, XZ), // Acquisition Time
    (0x0008_0033, ZD), // Content Time
    (0x0008_0034, X), // Overlay Time
    (0x0008_0035, X), // Curve Time
    (0x0008_0050, Z), // Accession Number
    (0x0008_0054, X), // Retrieve AE Title
    (0x0008_0055, X), // Station AE Title
    (0x0008_0058, U), // Failed SOP Instance UID List
    (0x0008_0080, XZD), // Institution Name
    (0x0008_0081, X), // Institution Address
    (0x0008_0082, XZD), // Institution Code Sequence
    (0x0008_0090, Z), // Referring Physician's Name
    (0x0008_0092, X), // Referring Physician's Address
    (0x0008_0094, X), // Referring Physician's Telephone Numbers
    (0x0008_0096, X), // Referring Physician Identification Sequence
    (0x0008_009C, Z), // Consulting Physician's Name
    (0x0008_009D, X), // Consulting Physician Identification Sequence
    (0x0008_0106, D), // Context Group Version
    (0x0008_0107, D), // Context Group Local Version
    (0x0008_0201, X), // Timezone Offset From UTC
    (0x0008_1000, X), // Network ID
    (0x0008_1010, XZD), // Station Name
    (0x0008_1030, X), // Study Description
    (0x0008_103E, X), // Series Description
    (0x0008_1040, X), // Institutional Department Name
    (0x0008_1041, X), // Institutional Department Type Code Sequence
    (0x0008_1048, X), // Physician(s) of Record
    (0x0008_1049, X), // Physician(s) of Record Identification Sequence
    (0x0008_1050, X), // Performing Physician's Name
    (0x0008_1052, X), // Performing Physician Identification Sequence
    (0x0008_1060, X), // Name of Physician(s) Reading Study
    (0x0008_1062, X), // Physician(s) Reading Study Identification Sequence
    (0x0008_1070, XZD), // Operators' Name
    (0x0008_1072, XD), // Operator Identification Sequence
    (0x0008_1080, X), // Admitting Diagnoses Description
    (0x0008_1084, X), // Admitting Diagnoses Code Sequence
    (0x0008_1088, X), // Pyramid Description
    (0x0008_1110, XZ), // Referenced Study Sequence
    (0x0008_1111, XZD), // Referenced Performed Procedure Step Sequence
    (0x0008_1120, X), // Referenced Patient Sequence
    (0x0008_1140, XZU), // Referenced Image Sequence
    (0x0008_1155, U), // Referenced SOP Instance UID
    (0x0008_1195, U), // Transaction UID
    (0x0008_1301, X), // Principal Diagnosis Code Sequence
    (0x0008_1302, X), // Primary Diagnosis Code Sequence
    (0x0008_1303, X), // Secondary Diagnoses Code Sequence
    (0x0008_1304, X), // Histological Diagnoses Code Sequence
    (0x0008_2111, X), // Derivation Description
    (0x0008_2112, XZU), // Source Image Sequence
    (0x0008_3010, U), // Irradiation Event UID
    (0x0008_4000, X), // Identifying Comments
    (0x0010_0010, Z), // Patient's Name
    (0x0010_0011, X), // Person Names to Use Sequence
    (0x0010_0012, X), // Name to Use
    (0x0010_0013, X), // Name to Use Comment
    (0x0010_0014, X), // Third Person Pronouns Sequence
    (0x0010_0015, X), // Pronoun Code Sequence
    (0x0010_0016, X), // Pronoun Comment
    (0x0010_0020, ZD), // Patient ID
    (0x0010_0021, X), // Issuer of Patient ID
    (0x0010_0030, Z), // Patient's Birth Date
    (0x0010_0032, X), // Patient's Birth Time
    (0x0010_0040, Z), // Patient's Sex
    (0x0010_0041, X), // Gender Identity Sequence
    (0x0010_0042, X), // Sex Parameters for Clinical Use Category Comment
    (0x0010_0043, X), // Sex Parameters for Clinical Use Category Sequence
    (0x0010_0044, X), // Gender Identity Code Sequence
    (0x0010_0045, X), // Gender Identity Comment
    (0x0010_0046, X), // Sex Parameters for Clinical Use Category Code Sequence
    (0x0010_0047, X), // Sex Parameters for Clinical Use Category Reference
    (0x0010_0050, X), // Patient's Insurance Plan Code Sequence
    (0x0010_0101, X), // Patient's Primary Language Code Sequence
    (0x0010_0102, X), // Patient's Primary Language Modifier Code Sequence
    (0x0010_1000, X), // Other Patient IDs
    (0x0010_1001, X), // Other Patient Names
    (0x0010_1002, X), // Other Patient IDs Sequence
    (0x0010_1005, X), // Patient's Birth Name
    (0x0010_1010, X), // Patient's Age
    (0x0010_1020, X), // Patient's Size
    (0x0010_1030, X), // Patient's Weight
    (0x0010_1040, X), // Patient's Address
    (0x0010_1050, X), // Insurance Plan Identification
    (0x0010_1060, X), // Patient's Mother's Birth Name
    (0x0010_1080, X), // Military Rank
    (0x0010_1081, X), // Branch of Service
    (0x0010_1090, X), // Medical Record Locator
    (0x0010_1100, X), // Referenced Patient Photo Sequence
    (0x0010_2000, X), // Medical Alerts
    (0x0010_2110, X), // Allergies
    (0x0010_2150, X), // Country of Residence
    (0x0010_2152, X), // Region of Residence
    (0x0010_2154, X), // Patient's Telephone Numbers
    (0x0010_2155, X), // Patient's Telecom Information
    (0x0010_2160, X), // Ethnic Group
    (0x0010_2161, X), // Ethnic Group Code Sequence
    (0x0010_2162, X), // Ethnic Groups
    (0x0010_2180, X), // Occupation
    (0x0010_21A0, X), // Smoking Status
    (0x0010_21B0, X), // Additional Patient History
    (0x0010_21C0, X), // Pregnancy Status
    (0x0010_21D0, X), // Last Menstrual Date
    (0x0010_21F0, X), // Patient's Religious Preference
    (0x0010_2203, XZ), // Patient's Sex Neutered
    (0x0010_2297, X), // Responsible Person
    (0x0010_2299, X), // Responsible Organization
    (0x0010_4000, X), // Patient Comments
    (0x0012_0010, D), // Clinical Trial Sponsor Name
    (0x0012_0020, D), // Clinical Trial Protocol ID
    (0x0012_0021, Z), // Clinical Trial Protocol Name
    (0x0012_0022, X), // Issuer of Clinical Trial Protocol ID
    (0x0012_0023, X), // Other Clinical Trial Protocol IDs Sequence
    (0x0012_0030, Z), // Clinical Trial Site ID
    (0x0012_0031, Z), // Clinical Trial Site Name
    (0x0012_0032, X), // Issuer of Clinical Trial Site ID
    (0x0012_0040, D), // Clinical Trial Subject ID
    (0x0012_0041, X), // Issuer of Clinical Trial Subject ID
    (0x0012_0042, D), // Clinical Trial Subject Reading ID
    (0x0012_0043, X), // Issuer of Clinical Trial Subject Reading ID
    (0x0012_0050, Z), // Clinical Trial Time Point ID
    (0x0012_0051, X), // Clinical Trial Time Point Description
    (0x0012_0055, X), // Issuer of Clinical Trial Time Point ID
    (0x0012_0060, Z), // Clinical Trial Coordinating Center Name
    (0x0012_0071, X), // Clinical Trial Series ID
    (0x0012_0072, X), // Clinical Trial Series Description
    (0x0012_0073, X), // Issuer of Clinical Trial Series ID
    (0x0012_0081, D), // Clinical Trial Protocol Ethics Committee Name
    (0x0012_0082, X), // Clinical Trial Protocol Ethics Committee Approval Number
    (0x0012_0086, X), // Ethics Committee Approval Effectiveness Start Date
    (0x0012_0087, X), // Ethics Committee Approval Effectiveness End Date
    (0x0014_407C, X), // Calibration Time
    (0x0014_407E, X), // Calibration Date
    (0x0016_002B, X), // Maker Note
    (0x0016_004B, X), // Device Setting Description
    (0x0016_004D, X), // Camera Owner Name
    (0x0016_004E, X), // Lens Specification
    (0x0016_004F, X), // Lens Make
    (0x0016_0050, X), // Lens Model
    (0x0016_0051, X), // Lens Serial Number
    (0x0016_0070, X), // GPS Version ID
    (0x0016_0071, X), // GPS Latitude Ref
    (0x0016_0072, X), // GPS Latitude
    (0x0016_0073, X), // GPS Longitude Ref
    (0x0016_0074, X), // GPS Longitude
    (0x0016_0075, X), // GPS Altitude Ref
    (0x0016_0076, X), // GPS Altitude
    (0x0016_0077, X), // GPS Time Stamp
    (0x0016_0078, X), // GPS Satellites
    (0x0016_0079, X), // GPS Status
    (0x0016_007A, X), // GPS Measure Mode
    (0x0016_007B, X), // GPS DOP
    (0x0016_007C, X), // GPS Speed Ref
    (0x0016_007D, X), // GPS Speed
    (0x0016_007E, X), // GPS Track Ref
    (0x0016_007F, X), // GPS Track
    (0x0016_0080, X), // GPS Img Direction Ref
    (0x0016_0081, X), // GPS Img Direction
    (0x0016_0082, X), // GPS Map Datum
    (0x0016_0083, X), // GPS Dest Latitude Ref
    (0x0016_0084, X), // GPS Dest Latitude
    (0x0016_0085, X), // GPS Dest Longitude Ref
    (0x0016_0086, X), // GPS Dest Longitude
    (0x0016_0087, X), // GPS Dest Bearing Ref
    (0x0016_0088, X), // GPS Dest Bearing
    (0x0016_0089, X), // GPS Dest Distance Ref
    (0x0016_008A, X), // GPS Dest Distance
    (0x0016_008B, X), // GPS Processing Method
    (0x0016_008C, X), // GPS Area Information
    (0x0016_008D, X), // GPS Date Stamp
    (0x0016_008E, X), // GPS Differential
    (0x0018_0010, ZD), // Contrast/Bolus Agent
    (0x0018_0027, X), // Intervention Drug Stop Time
    (0x0018_0035, X), // Intervention Drug Start Time
    (0x0018_1000, XZD), // Device Serial Number
    (0x0018_1002, U), // Device UID
    (0x0018_1004, X), // Plate ID
    (0x0018_1005, X), // Generator ID
    (0x0018_1007, X), // Cassette ID
    (0x0018_1008, X), // Gantry ID
    (0x0018_1009, X), // Unique Device Identifier
    (0x0018_100A, X), // UDI Sequence
    (0x0018_100B, U), // Manufacturer's Device Class UID
    (0x0018_1010, X), // Secondary Capture Device ID
    (0x0018_1011, X), // Hardcopy Creation Device ID
    (0x0018_1012, X), // Date of Secondary Capture
    (0x0018_1014, X), // Time of Secondary Capture
    (0x0018_1030, XD), // Protocol Name
    (0x0018_1042, X), // Contrast/Bolus Start Time
    (0x0018_1043, X), // Contrast/Bolus Stop Time
    (0x0018_1072, X), // Radiopharmaceutical Start Time
    (0x0018_1073, X), // Radiopharmaceutical Stop Time
    (0x0018_1078, X), // Radiopharmaceutical Start DateTime
    (0x0018_1079, X), // Radiopharmaceutical Stop DateTime
    (0x0018_11BB, D), // Acquisition Field Of View Label
    (0x0018_1200, X), // Date of Last Calibration
    (0x0018_1201, X), // Time of Last Calibration
    (0x0018_1202, X), // DateTime of Last Calibration
    (0x0018_1203, Z), // Calibration DateTime
    (0x0018_1204, X), // Date of Manufacture
    (0x0018_1205, X), // Date of Installation
    (0x0018_1400, XD), // Acquisition Device Processing Description
    (0x0018_2042, U), // Target UID
    (0x0018_4000, X), // Acquisition Comments
    (0x0018_5011, X), // Transducer Identification Sequence
    (0x0018_700A, XD), // Detector ID
    (0x0018_700C, XD), // Date of Last Detector Calibration
    (0x0018_700E, XD), // Time of Last Detector Calibration
    (0x0018_9074, D), // Frame Acquisition DateTime
    (0x0018_9151, D), // Frame Reference DateTime
    (0x0018_9185, X), // Respiratory Motion Compensation Technique Description
    (0x0018_9367, D), // X-Ray Source ID
    (0x0018_9369, D), // Source Start DateTime
    (0x0018_936A, D), // Source End DateTime
    (0x0018_9371, D), // X-Ray Detector ID
    (0x0018_9373, X), // X-Ray Detector Label
    (0x0018_937B, X), // Multi-energy Acquisition Description
    (0x0018_937F, X), // Decomposition Description
    (0x0018_9424, X), // Acquisition Protocol Description
    (0x0018_9516, XD), // Start Acquisition DateTime
    (0x0018_9517, XD), // End Acquisition DateTime
    (0x0018_9623, D), // Functional Sync Pulse
    (0x0018_9701, D), // Decay Correction DateTime
    (0x0018_9804, D), // Exclusion Start DateTime
    (0x0018_9919, ZD), // Instruction Performed DateTime
    (0x0018_9937, X), // Requested Series Description
    (0x0018_A002, X), // Contribution DateTime
    (0x0018_A003, X), // Contribution Description
    (0x0020_000D, U), // Study Instance UID
    (0x0020_000E, U), // Series Instance UID
    (0x0020_0010, Z), // Study ID
    (0x0020_0027, X), // Pyramid Label
    (0x0020_0052, U), // Frame of Reference UID
    (0x0020_0200, U), // Synchronization Frame of Reference UID
    (0x0020_3401, X), // Modifying Device ID
    (0x0020_3403, X), // Modified Image Date
    (0x0020_3405, X), // Modified Image Time
    (0x0020_3406, X), // Modified Image Description
    (0x0020_4000, X), // Image Comments
    (0x0020_9158, X), // Frame Comments
    (0x0020_9161, U), // Concatenation UID
    (0x0020_9164, U), // Dimension Organization UID
    (0x0028_1199, U), // Palette Color Lookup Table UID
    (0x0028_1214, U), // Large Palette Color Lookup Table UID
    (0x0028_4000, X), // Image Presentation Comments
    (0x0032_0012, X), // Study ID Issuer
    (0x0032_0032, X), // Study Verified Date
    (0x0032_0033, X), // Study Verified Time
    (0x0032_0034, X), // Study Read Date
    (0x0032_0035, X), // Study Read Time
    (0x0032_1000, X), // Scheduled Study Start Date
    (0x0032_1001, X), // Scheduled Study Start Time
    (0x0032_1010, X), // Scheduled Study Stop Date
    (0x0032_1011, X), // Scheduled Study Stop Time
    (0x0032_1020, X), // Scheduled Study Location
    (0x0032_1021, X), // Scheduled Study Location AE Title
    (0x0032_1030, X), // Reason for Study
    (0x0032_1032, X), // Requesting Physician
    (0x0032_1033, X), // Requesting Service
    (0x0032_1040, X), // Study Arrival Date
    (0x0032_1041, X), // Study Arrival Time
    (0x0032_1050, X), // Study Completion Date
    (0x0032_1051, X), // Study Completion Time
    (0x0032_1060, XZ), // Requested Procedure Description
    (0x0032_1066, X), // Reason for Visit
    (0x0032_1067, X), // Reason for Visit Code Sequence
    (0x0032_1070, X), // Requested Contrast Agent
    (0x0032_4000, X), // Study Comments
    (0x0034_0001, D), // Flow Identifier Sequence
    (0x0034_0002, D), // Flow Identifier
    (0x0034_0005, D), // Source Identifier
    (0x0034_0007, D), // Frame Origin Timestamp
    (0x0038_0004, X), // Referenced Patient Alias Sequence
    (0x0038_0010, X), // Admission ID
    (0x0038_0011, X), // Issuer of Admission ID
    (0x0038_0014, X), // Issuer of Admission ID Sequence
    (0x0038_001A, X), // Scheduled Admission Date
    (0x0038_001B, X), // Scheduled Admission Time
    (0x0038_001C, X), // Scheduled Discharge Date
    (0x0038_001D, X), // Scheduled Discharge Time
    (0x0038_001E, X), // Scheduled Patient Institution Residence
    (0x0038_0020, X), // Admitting Date
    (0x0038_0021, X), // Admitting Time
    (0x0038_0030, X), // Discharge Date
    (0x0038_0032, X), // Discharge Time
    (0x0038_0040, X), // Discharge Diagnosis Description
    (0x0038_0050, X), // Special Needs
    (0x0038_0060, X), // Service Episode ID
    (0x0038_0061, X), // Issuer of Service Episode ID
    (0x0038_0062, X), // Service Episode Description
    (0x0038_0064, X), // Issuer of Service Episode ID Sequence
    (0x0038_0300, X), // Current Patient Location
    (0x0038_0400, X), // Patient's Institution Residence
    (0x0038_0500, X), // Patient State
    (0x0038_4000, X), // Visit Comments
    (0x003A_0020, X), // Multiplex Group Label
    (0x003A_0203, X), // Channel Label
    (0x003A_020C, X), // Channel Derivation Description
    (0x003A_0310, U), // Multiplex Group UID
    (0x003A_0314, D), // Impedance Measurement DateTime
    (0x003A_0329, X), // Waveform Filter Description
    (0x003A_032B, X), // Filter Lookup Table Description
    (0x0040_0001, X), // Scheduled Station AE Title
    (0x0040_0002, X), // Scheduled Procedure Step Start Date
    (0x0040_0003, X), // Scheduled Procedure Step Start Time
    (0x0040_0004, X), // Scheduled Procedure Step End Date
    (0x0040_0005, X), // Scheduled Procedure Step End Time
    (0x0040_0006, X), // Scheduled Performing Physician's Name
    (0x0040_0007, X), // Scheduled Procedure Step Description
    (0x0040_0009, X), // Scheduled Procedure Step ID
    (0x0040_000B, X), // Scheduled Performing Physician Identification Sequence
    (0x0040_0010, X), // Scheduled Station Name
    (0x0040_0011, X), // Scheduled Procedure Step Location
    (0x0040_0012, X), // Pre-Medication
    (0x0040_0241, X), // Performed Station AE Title
    (0x0040_0242, X), // Performed Station Name
    (0x0040_0243, X), // Performed Location
    (0x0040_0244, X), // Performed Procedure Step Start Date
    (0x0040_0245, X), // Performed Procedure Step Start Time
    (0x0040_0250, X), // Performed Procedure Step End Date
    (0x0040_0251, X), // Performed Procedure Step End Time
    (0x0040_0253, X), // Performed Procedure Step ID
    (0x0040_0254, X), // Performed Procedure Step Description
    (0x0040_0275, X), // Request Attributes Sequence
    (0x0040_0280, X), // Comments on the Performed Procedure Step
    (0x0040_0310, X), // Comments on Radiation Dose
    (0x0040_050A, X), // Specimen Accession Number
    (0x0040_0512, D), // Container Identifier
    (0x0040_0513, Z), // Issuer of the Container Identifier Sequence
    (0x0040_051A, X), // Container Description
    (0x0040_0551, D), // Specimen Identifier
    (0x0040_0554, U), // Specimen UID
    (0x0040_0555, XZ), // Acquisition Context Sequence
    (0x0040_0556, X), // Acquisition Context Description
    (0x0040_0562, Z), // Issuer of the Specimen Identifier Sequence
    (0x0040_0600, X), // Specimen Short Description
    (0x0040_0602, X), // Specimen Detailed Description
    (0x0040_0610, Z), // Specimen Preparation Sequence
    (0x0040_06FA, X), // Slide Identifier
    (0x0040_1001, X), // Requested Procedure ID
    (0x0040_1002, X), // Reason for the Requested Procedure
    (0x0040_1004, X), // Patient Transport Arrangements
    (0x0040_1005, X), // Requested Procedure Location
    (0x0040_100A, X), // Reason for Requested Procedure Code Sequence
    (0x0040_1010, X), // Names of Intended Recipients of Results
    (0x0040_1011, X), // Intended Recipients of Results Identification Sequence
    (0x0040_1101, D), // Person Identification Code Sequence
    (0x0040_1102, X), // Person's Address
    (0x0040_1103, X), // Person's Telephone Numbers
    (0x0040_1104, X), // Person's Telecom Information
    (0x0040_1400, X), // Requested Procedure Comments
    (0x0040_2001, X), // Reason for the Imaging Service Request
    (0x0040_2004, X), // Issue Date of Imaging Service Request
    (0x0040_2005, X), // Issue Time of Imaging Service Request
    (0x0040_2008, X), // Order Entered By
    (0x0040_2009, X), // Order Enterer's Location
    (0x0040_2010, X), // Order Callback Phone Number
    (0x0040_2011, X), // Order Callback Telecom Information
    (0x0040_2016, Z), // Placer Order Number / Imaging Service Request
    (0x0040_2017, Z), // Filler Order Number / Imaging Service Request
    (0x0040_2400, X), // Imaging Service Request Comments
    (0x0040_3001, X), // Confidentiality Constraint on Patient Data Description
    (0x0040_4005, X), // Scheduled Procedure Step Start DateTime
    (0x0040_4008, X), // Scheduled Procedure Step Expiration DateTime
    (0x0040_4010, X), // Scheduled Procedure Step Modification DateTime
    (0x0040_4011, X), // Expected Completion DateTime
    (0x0040_4023, U), // Referenced General Purpose Scheduled Procedure Step Transaction UID
    (0x0040_4025, X), // Scheduled Station Name Code Sequence
    (0x0040_4027, X), // Scheduled Station Geographic Location Code Sequence
    (0x0040_4028, X), // Performed Station Name Code Sequence
    (0x0040_4030, X), // Performed Station Geographic Location Code Sequence
    (0x0040_4034, X), // Scheduled Human Performers Sequence
    (0x0040_4035, X), // Actual Human Performers Sequence
    (0x0040_4036, X), // Human Performer's Organization
    (0x0040_4037, X), // Human Performer's Name
    (0x0040_4050, X), // Performed Procedure Step Start DateTime
    (0x0040_4051, X), // Performed Procedure Step End DateTime
    (0x0040_4052, X), // Procedure Step Cancellation DateTime
    (0x0040_A023, X), // Findings Group Recording Date (Trial)
    (0x0040_A024, X), // Findings Group Recording Time (Trial)
    (0x0040_A027, D), // Verifying Organization
    (0x0040_A030, D), // Verification DateTime
    (0x0040_A032, XD), // Observation DateTime
    (0x0040_A033, X), // Observation Start DateTime
    (0x0040_A034, X), // Effective Start DateTime
    (0x0040_A035, X), // Effective Stop DateTime
    (0x0040_A073, D), // Verifying Observer Sequence
    (0x0040_A075, D), // Verifying Observer Name
    (0x0040_A078, X), // Author Observer Sequence
    (0x0040_A07A, X), // Participant Sequence
    (0x0040_A07C, X), // Custodial Organization Sequence
    (0x0040_A082, Z), // Participation DateTime
    (0x0040_A088, Z), // Verifying Observer Identification Code Sequence
    (0x0040_A110, X), // Date of Document or Verbal Transaction (Trial)
    (0x0040_A112, X), // Time of Document Creation or Verbal Transaction (Trial)
    (0x0040_A120, D), // DateTime
    (0x0040_A121, D), // Date
    (0x0040_A122, D), // Time
    (0x0040_A123, D), // Person Name
    (0x0040_A124, U), // UID
    (0x0040_A13A, D), // Referenced DateTime
    (0x0040_A171, U), // Observation UID
    (0x0040_A172, U), // Referenced Observation UID (Trial)
    (0x0040_A192, X), // Observation Date (Trial)
    (0x0040_A193, X), // Observation Time (Trial)
    (0x0040_A307, X), // Current Observer (Trial)
    (0x0040_A352, X), // Verbal Source (Trial)
    (0x0040_A353, X), // Address (Trial)
    (0x0040_A354, X), // Telephone Number (Trial)
    (0x0040_A358, X), // Verbal Source Identifier Code Sequence (Trial)
    (0x0040_A402, U), // Observation Subject UID (Trial)
    (0x0040_A730, D), // Content Sequence
    (0x0040_B020, XD), // Waveform Annotation Sequence
    (0x0040_B034, X), // Annotation DateTime
    (0x0040_B036, X), // Segment Definition DateTime
    (0x0040_B03B, X), // Montage Name
    (0x0040_B03F, X), // Montage Channel Label
    (0x0040_DB06, X), // Template Version
    (0x0040_DB07, X), // Template Local Version
    (0x0040_DB0C, U), // Template Extension Organization UID
    (0x0040_DB0D, U), // Template Extension Creator UID
    (0x0040_E004, X), // HL7 Document Effective Time
    (0x0040_E012, X), // Display URI
    (0x0042_0011, D), // Encapsulated Document
    (0x0044_0004, X), // Approval Status DateTime
    (0x0044_000B, X), // Product Expiration DateTime
    (0x0044_0010, X), // Substance Administration DateTime
    (0x0044_0104, D), // Assertion DateTime
    (0x0044_0105, X), // Assertion Expiration DateTime
    (0x0050_001B, X), // Container Component ID
    (0x0050_0020, X), // Device Description
    (0x0050_0021, X), // Long Device Description
    (0x0062_0021, U), // Tracking UID
    (0x0064_0003, U), // Source Frame of Reference UID
    (0x0068_6226, D), // Effective DateTime
    (0x0068_6270, D), // Information Issue DateTime
    (0x006A_0003, D), // Annotation Group UID
    (0x006A_0005, D), // Annotation Group Label
    (0x006A_0006, X), // Annotation Group Description
    (0x0070_0001, D), // Graphic Annotation Sequence
    (0x0070_0006, D), // Unformatted Text Value
    (0x0070_0082, X), // Presentation Creation Date
    (0x0070_0083, X), // Presentation Creation Time
    (0x0070_0084, ZD), // Content Creator's Name
    (0x0070_0086, X), // Content Creator's Identification Code Sequence
    (0x0070_031A, U), // Fiducial UID
    (0x0070_1101, U), // Presentation Display Collection UID
    (0x0070_1102, U), // Presentation Sequence Collection UID
    (0x0072_000A, D), // Hanging Protocol Creation DateTime
    (0x0072_005E, D), // Selector AE Value
    (0x0072_005F, D), // Selector AS Value
    (0x0072_0061, D), // Selector DA Value
    (0x0072_0063, D), // Selector DT Value
    (0x0072_0065, D), // Selector OB Value
    (0x0072_0066, D), // Selector LO Value
    (0x0072_0068, D), // Selector LT Value
    (0x0072_006A, D), // Selector PN Value
    (0x0072_006B, D), // Selector TM Value
    (0x0072_006C, D), // Selector SH Value
    (0x0072_006D, D), // Selector UN Value
    (0x0072_006E, D), // Selector ST Value
    (0x0072_0070, D), // Selector UT Value
    (0x0072_0071, D), // Selector UR Value
    (0x0074_1234, X), // Receiving AE
    (0x0074_1236, X), // Requesting AE
    (0x0088_0140, U), // Storage Media File-set UID
    (0x0088_0200, X), // Icon Image Sequence
    (0x0088_0904, X), // Topic Title
    (0x0088_0906, X), // Topic Subject
    (0x0088_0910, X), // Topic Author
    (0x0088_0912, X), // Topic Keywords
    (0x0100_0420, X), // SOP Authorization DateTime
    (0x0400_0100, U), // Digital Signature UID
    (0x0400_0105, D), // Digital Signature DateTime
    (0x0400_0115, D), // Certificate of Signer
    (0x0400_0310, X), // Certified Timestamp
    (0x0400_0402, X), // Referenced Digital Signature Sequence
    (0x0400_0403, X), // Referenced SOP Instance MAC Sequence
    (0x0400_0404, X), // MAC
    (0x0400_0550, X), // Modified Attributes Sequence
    (0x0400_0551, X), // Nonconforming Modified Attributes Sequence
    (0x0400_0552, X), // Nonconforming Data Element Value
    (0x0400_0561, X), // Original Attributes Sequence
    (0x0400_0562, D), // Attribute Modification DateTime
    (0x0400_0563, D), // Modifying System
    (0x0400_0564, Z), // Source of Previous Values
    (0x0400_0565, D), // Reason for the Attribute Modification
    (0x0400_0600, X), // Instance Origin Status
    (0x2030_0020, X), // Text String
    (0x2100_0040, X), // Creation Date
    (0x2100_0050, X), // Creation Time
    (0x2100_0070, X), // Originator
    (0x2100_0140, D), // Destination AE
    (0x2200_0002, XZ), // Label Text
    (0x2200_0005, XZ), // Barcode Value
    (0x3002_0121, X), // Position Acquisition Template Name
    (0x3002_0123, X), // Position Acquisition Template Description
    (0x3006_0002, D), // Structure Set Label
    (0x3006_0004, X), // Structure Set Name
    (0x3006_0006, X), // Structure Set Description
    (0x3006_0008, Z), // Structure Set Date
    (0x3006_0009, Z), // Structure Set Time
    (0x3006_0024, U), // Referenced Frame of Reference UID
    (0x3006_0026, Z), // ROI Name
    (0x3006_0028, X), // ROI Description
    (0x3006_002D, X), // ROI DateTime
    (0x3006_002E, X), // ROI Observation DateTime
    (0x3006_0038, X), // ROI Generation Description
    (0x3006_004D, X), // ROI Creator Sequence
    (0x3006_004E, X), // ROI Interpreter Sequence
    (0x3006_0085, X), // ROI Observation Label
    (0x3006_0088, X), // ROI Observation Description
    (0x3006_00A6, Z), // ROI Interpreter
    (0x3006_00C2, U), // Related Frame of Reference UID
    (0x3008_0024, D), // Treatment Control Point Date
    (0x3008_0025, D), // Treatment Control Point Time
    (0x3008_0054, XD), // First Treatment Date
    (0x3008_0056, XD), // Most Recent Treatment Date
    (0x3008_0105, XZ), // Source Serial Number
    (0x3008_0162, D), // Safe Position Exit Date
    (0x3008_0164, D), // Safe Position Exit Time
    (0x3008_0166, D), // Safe Position Return Date
    (0x3008_0168, D), // Safe Position Return Time
    (0x3008_0250, XD), // Treatment Date
    (0x3008_0251, XD), // Treatment Time
    (0x300A_0002, D), // RT Plan Label
    (0x300A_0003, X), // RT Plan Name
    (0x300A_0004, X), // RT Plan Description
    (0x300A_0006, XD), // RT Plan Date
    (0x300A_0007, XD), // RT Plan Time
    (0x300A_000B, X), // Treatment Sites
    (0x300A_000E, X), // Prescription Description
    (0x300A_0013, U), // Dose Reference UID
    (0x300A_0016, X), // Dose Reference Description
    (0x300A_0054, U), // Table Top Position Alignment UID
    (0x300A_0072, X), // Fraction Group Description
    (0x300A_0083, U), // Referenced Dose Reference UID
    (0x300A_00B2, XZ), // Treatment Machine Name
    (0x300A_00C3, X), // Beam Description
    (0x300A_00DD, X), // Bolus Description
    (0x300A_0196, X), // Fixation Device Description
    (0x300A_01A6, X), // Shielding Device Description
    (0x300A_01B2, X), // Setup Technique Description
    (0x300A_0216, X), // Source Manufacturer
    (0x300A_022C, D), // Source Strength Reference Date
    (0x300A_022E, D), // Source Strength Reference Time
    (0x300A_02EB, X), // Compensator Description
    (0x300A_0608, D), // Treatment Position Group Label
    (0x300A_0609, U), // Treatment Position Group UID
    (0x300A_0611, Z), // RT Accessory Holder Slot ID
    (0x300A_0615, Z), // RT Accessory Device Slot ID
    (0x300A_0619, D), // Radiation Dose Identification Label
    (0x300A_0623, D), // Radiation Dose In-Vivo Measurement Label
    (0x300A_062A, D), // RT Tolerance Set Label
    (0x300A_0650, U), // Patient Setup UID
    (0x300A_0676, X), // Equipment Frame of Reference Description
    (0x300A_067C, D), // Radiation Generation Mode Label
    (0x300A_067D, Z), // Radiation Generation Mode Description
    (0x300A_0700, U), // Treatment Session UID
    (0x300A_0734, D), // Treatment Tolerance Violation Description
    (0x300A_0736, D), // Treatment Tolerance Violation DateTime
    (0x300A_073A, D), // Recorded RT Control Point DateTime
    (0x300A_0741, D), // Interlock DateTime
    (0x300A_0742, D), // Interlock Description
    (0x300A_0760, D), // Override DateTime
    (0x300A_0783, D), // Interlock Origin Description
    (0x300A_0785, U), // Referenced Treatment Position Group UID
    (0x300A_078E, X), // Patient Treatment Preparation Procedure Parameter Description
    (0x300A_0792, X), // Patient Treatment Preparation Method Description
    (0x300A_0794, X), // Patient Setup Photo Description
    (0x300A_079A, X), // Displacement Reference Label
    (0x300C_0113, X), // Reason for Omission Description
    (0x300C_0127, D), // Beam Hold Transition DateTime
    (0x300E_0004, Z), // Review Date
    (0x300E_0005, Z), // Review Time
    (0x300E_0008, XZ), // Reviewer Name
    (0x3010_0006, U), // Conceptual Volume UID
    (0x3010_000B, U), // Referenced Conceptual Volume UID
    (0x3010_000F, Z), // Conceptual Volume Combination Description
    (0x3010_0013, U), // Constituent Conceptual Volume UID
    (0x3010_0015, U), // Source Conceptual Volume UID
    (0x3010_0017, Z), // Conceptual Volume Description
    (0x3010_001B, Z), // Device Alternate Identifier
    (0x3010_002D, D), // Device Label
    (0x3010_0031, U), // Referenced Fiducials UID
    (0x3010_0033, D), // User Content Label
    (0x3010_0034, D), // User Content Long Label
    (0x3010_0035, D), // Entity Label
    (0x3010_0036, X), // Entity Name
    (0x3010_0037, X), // Entity Description
    (0x3010_0038, D), // Entity Long Label
    (0x3010_003B, U), // RT Treatment Phase UID
    (0x3010_0043, Z), // Manufacturer's Device Identifier
    (0x3010_004C, XD), // Intended Phase Start Date
    (0x3010_004D, XD), // Intended Phase End Date
    (0x3010_0054, D), // RT Prescription Label
    (0x3010_0056, XD), // RT Treatment Approach Label
    (0x3010_005A, Z), // RT Physician Intent Narrative
    (0x3010_005C, Z), // Reason for Superseding
    (0x3010_0061, X), // Prior Treatment Dose Description
    (0x3010_006E, U), // Dosimetric Objective UID
    (0x3010_006F, U), // Referenced Dosimetric Objective UID
    (0x3010_0077, XD), // Treatment Site
    (0x3010_007A, Z), // Treatment Technique Notes
    (0x3010_007B, Z), // Prescription Notes
    (0x3010_007F, Z), // Fractionation Notes
    (0x3010_0081, Z), // Prescription Notes Sequence
    (0x3010_0085, X), // Intended Fraction Start Time
    (0x4000_0010, X), // Arbitrary
    (0x4000_4000, X), // Text Comments
    (0x4008_0040, X), // Results ID
    (0x4008_0042, X), // Results ID Issuer
    (0x4008_0100, X), // Interpretation Recorded Date
    (0x4008_0101, X), // Interpretation Recorded Time
    (0x4008_0102, X), // Interpretation Recorder
    (0x4008_0108, X), // Interpretation Transcription Date
    (0x4008_0109, X), // Interpretation Transcription Time
    (0x4008_010A, X), // Interpretation Transcriber
    (0x4008_010B, X), // Interpretation Text
    (0x4008_010C, X), // Interpretation Author
    (0x4008_0111, X), // Interpretation Approver Sequence
    (0x4008_0112, X), // Interpretation Approval Date
    (0x4008_0113, X), // Interpretation Approval Time
    (0x4008_0114, X), // Physician Approving Interpretation
    (0x4008_0115, X), // Interpretation Diagnosis Description
    (0x4008_0118, X), // Results Distribution List Sequence
    (0x4008_0119, X), // Distribution Name
    (0x4008_011A, X), // Distribution Address
    (0x4008_0200, X), // Interpretation ID
    (0x4008_0202, X), // Interpretation ID Issuer
    (0x4008_0300, X), // Impressions
    (0x4008_4000, X), // Results Comments
    (0xFFFA_FFFA, X), // Digital Signatures Sequence
    (0xFFFC_FFFC, X), // Data Set Trailing Padding
];

#[cfg(test)]
mod tests {
    use dicom_dictionary_std::tags;

    use super::*;

    #[test]
    fn the_table_is_in_order_and_names_no_attribute_twice() {
        let is_in_order = BASIC_PROFILE.windows(2).all(|pair| pair[0].0 < pair[1].0);
        assert!(is_in_order, "the search in it needs that");
    }

    #[test]
    fn what_names_a_person_a_day_or_an_instance_is_found_by_its_tag() {
        for (tag, expected) in [
            (tags::PATIENT_NAME, Some(Z)),
            (tags::PATIENT_COMMENTS, Some(X)),
            (tags::SOP_INSTANCE_UID, Some(U)),
            (tags::STUDY_DATE, Some(Z)),
            (tags::ROWS, None),
            (Tag(0x0009, 0x1001), Some(X)),
            (Tag(0x5002, 0x3000), Some(X)),
            (Tag(0x6000, 0x4000), Some(X)),
        ] {
            assert_eq!(action(tag), expected, "{tag}");
        }
    }
}
