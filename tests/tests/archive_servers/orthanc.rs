//! Orthanc with its DICOMweb, on this machine alone.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_archive::{Address, Login, Place, WebAddress};
use serde_json::{Value, json};

use super::{Server, free_port, temporary};

/// Where Debian puts the plugin.
const PLUGINS: [&str; 2] = [
    "/usr/share/orthanc/plugins/libOrthancDicomWeb.so",
    "/usr/lib/orthanc/libOrthancDicomWeb.so.1.7",
];

/// A running Orthanc: `server.port` is that of the web.
pub(crate) struct Orthanc {
    pub(crate) server: Server,
    pub(crate) dicom_port: u16,
}

/// An Orthanc that is told these things besides.
pub(crate) fn orthanc(more: &Value) -> Orthanc {
    let folder = temporary("orthanc");
    let (port, dicom_port) = (free_port(), free_port());
    let plugin = PLUGINS
        .into_iter()
        .find(|path| Path::new(path).exists())
        .expect("these tests need Orthanc's DICOMweb (Debian: orthanc-dicomweb)");
    let mut configuration = json!({
        "Name": "Clinic",
        "StorageDirectory": folder.path().join("storage"),
        "IndexDirectory": folder.path().join("storage"),
        "HttpPort": port,
        "HttpBindAddresses": ["127.0.0.1"],
        "RemoteAccessAllowed": false,
        "AuthenticationEnabled": false,
        "DicomAet": "ORTHANC",
        "DicomPort": dicom_port,
        "DicomAlwaysAllowEcho": true,
        "DicomAlwaysAllowStore": true,
        "DicomAlwaysAllowFind": true,
        "DicomAlwaysAllowGet": true,
        "Plugins": [plugin],
        "DicomWeb": { "Enable": true, "Root": "/dicom-web/" },
    });
    let known = configuration.as_object_mut().expect("an object");
    for (key, value) in more.as_object().expect("an object") {
        known.insert(key.clone(), value.clone());
    }
    let file = folder.path().join("orthanc.json");
    fs::write(&file, configuration.to_string()).expect("written");
    let file = file.display().to_string();
    Orthanc {
        server: Server::start(port, folder, "Orthanc", &[&file]),
        dicom_port,
    }
}

impl Orthanc {
    /// Its address on the web.
    pub(crate) fn web(&self, login: Login) -> Address {
        web(
            &format!("http://localhost:{}", self.server.port),
            login,
            None,
        )
    }
}

/// The address of an archive on the web.
pub(crate) fn web(origin: &str, login: Login, ca_file: Option<PathBuf>) -> Address {
    Address {
        name: "Clinic".to_owned(),
        place: Place::Web(WebAddress {
            url: format!("{origin}/dicom-web"),
            login,
            ca_file,
        }),
    }
}
