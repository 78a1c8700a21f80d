//! The calls into PROJ, a C library: the one module that is `unsafe`.
//!
//! PROJ reads files, the environment and the network wherever it is not told otherwise. Here it is:
//! the database inside the binary, and nothing else.
#![expect(unsafe_code, reason = "PROJ is a C library")]

use std::ffi::{CStr, c_char, c_int, c_longlong, c_ulonglong, c_void};
use std::ptr::{NonNull, null, null_mut};
use std::rc::Rc;

use geo::Coord;
use proj_sys as c;

use super::Area;

/// What PROJ does its work in. Of one thread.
#[derive(Debug)]
pub(super) struct Context(NonNull<c::PJ_CONTEXT>);

/// A coordinate system, or the way from one to another.
#[derive(Debug)]
pub(super) struct Object {
    object: NonNull<c::PJconsts>,
    /// Lives as long as what was made in it.
    context: Rc<Context>,
}

impl Context {
    /// A context that reads no file, no environment and no network, and prints nothing.
    pub fn new() -> Option<Rc<Self>> {
        // PROJ_AUX_DB names a second database unless another one is given: then an empty one is. It
        // takes each thread 15 ms, so not otherwise.
        let named = std::env::var_os("PROJ_AUX_DB").is_some();
        let beside = [if named { c":memory:".as_ptr() } else { null() }, null()];
        #[cfg(feature = "compressed-proj")]
        let database = super::database::path()?.as_ptr();
        // Where no file is found, PROJ takes the database that it was built with.
        #[cfg(not(feature = "compressed-proj"))]
        let database = null();
        // SAFETY: the context is valid from the first call on, and what is pointed at outlives the
        // calls. The file functions come first, since the others already look for settings in files.
        unsafe {
            let context = Context(NonNull::new(c::proj_context_create())?);
            let raw = context.0.as_ptr();
            c::proj_log_func(raw, null_mut(), Some(silent));
            let closed = c::proj_context_set_fileapi(raw, &raw const NO_FILES, null_mut()) != 0;
            c::proj_context_set_enable_network(raw, 0);
            c::proj_grid_cache_set_enable(raw, 0);
            let opened =
                c::proj_context_set_database_path(raw, database, beside.as_ptr(), null()) != 0;
            (closed && opened).then(|| Rc::new(context))
        }
    }

    /// What a definition stands for: a name such as `EPSG:2965`, WKT, or PROJ's own notation.
    pub fn read(self: &Rc<Self>, definition: &CStr) -> Option<Object> {
        // SAFETY: both are valid.
        self.own(unsafe { c::proj_create(self.0.as_ptr(), definition.as_ptr()) })
    }

    /// The way from one coordinate system to another, axes in the order easting, northing or
    /// longitude, latitude. A better way that would need a file of its own is passed over.
    pub fn way(self: &Rc<Self>, from: &Object, to: &Object) -> Option<Object> {
        let options = [c"ONLY_BEST=NO".as_ptr(), null()];
        let (raw, from, to) = (self.0.as_ptr(), from.object.as_ptr(), to.object.as_ptr());
        // SAFETY: all are valid, and the list of options ends with a null.
        let way = self.own(unsafe {
            c::proj_create_crs_to_crs_from_pj(raw, from, to, null_mut(), options.as_ptr())
        })?;
        // SAFETY: as above.
        self.own(unsafe { c::proj_normalize_for_visualization(raw, way.object.as_ptr()) })
    }

    fn own(self: &Rc<Self>, object: *mut c::PJconsts) -> Option<Object> {
        NonNull::new(object).map(|object| Object { object, context: Rc::clone(self) })
    }
}

impl Object {
    /// PROJ's description, as JSON.
    pub fn json(&self) -> Option<String> {
        let (context, object) = (self.context.0.as_ptr(), self.object.as_ptr());
        // SAFETY: both are valid; the text is null or lives until the object's next description.
        unsafe { text(c::proj_as_projjson(context, object, null())) }
    }

    /// Its text as in a `.prj` file.
    #[cfg(test)]
    pub fn prj(&self) -> Option<String> {
        let (context, object) = (self.context.0.as_ptr(), self.object.as_ptr());
        let form = c::PJ_WKT_TYPE_PJ_WKT1_ESRI;
        let options = [c"MULTILINE=NO".as_ptr(), null()];
        // SAFETY: as above, and the list of options ends with a null.
        unsafe { text(c::proj_as_wkt(context, object, form, options.as_ptr())) }
    }

    /// Where it is used, if PROJ knows.
    pub fn area(&self) -> Option<Area> {
        let mut area = Area { west: -1000.0, south: -1000.0, east: -1000.0, north: -1000.0 };
        let (context, object) = (self.context.0.as_ptr(), self.object.as_ptr());
        let Area { west, south, east, north } = &mut area;
        // SAFETY: all are valid; the area's name may be null.
        let known = unsafe {
            c::proj_get_area_of_use(context, object, west, south, east, north, null_mut()) != 0
        };
        // What PROJ does not know stays at -1000.
        (known && area.west > -1000.0).then_some(area)
    }

    /// How good the shift between the datums is, meters, if PROJ knows.
    pub fn accuracy(&self) -> Option<f64> {
        // SAFETY: the object is valid.
        let info = unsafe { c::proj_pj_info(self.object.as_ptr()) };
        (info.accuracy >= 0.0).then_some(info.accuracy)
    }

    /// A place converted; `None` where it has no counterpart.
    pub fn convert(&self, place: Coord<f64>) -> Option<Coord<f64>> {
        let object = self.object.as_ptr();
        let given = c::PJ_COORD { v: [place.x, place.y, 0.0, 0.0] };
        // SAFETY: the object is valid, and all that PROJ gives back is four numbers.
        unsafe {
            c::proj_errno_reset(object);
            let [x, y, ..] = c::proj_trans(object, c::PJ_DIRECTION_PJ_FWD, given).v;
            (c::proj_errno(object) == 0).then_some(Coord { x, y })
        }
    }
}

impl Drop for Object {
    fn drop(&mut self) {
        // SAFETY: it is valid and used no more.
        unsafe { c::proj_destroy(self.object.as_ptr()) };
    }
}

impl Drop for Context {
    fn drop(&mut self) {
        // SAFETY: it is valid, and whatever was made in it is gone.
        unsafe { c::proj_context_destroy(self.0.as_ptr()) };
    }
}

/// # Safety
/// The text is null, or valid and ends with a null.
unsafe fn text(text: *const c_char) -> Option<String> {
    // SAFETY: as above.
    (!text.is_null()).then(|| unsafe { CStr::from_ptr(text) }.to_string_lossy().into_owned())
}

/// A log that keeps nothing: errors come back as values.
extern "C" fn silent(_: *mut c_void, _: c_int, _: *const c_char) {}

/// File functions that open nothing. PROJ asks that all be there.
static NO_FILES: c::PROJ_FILE_API = c::PROJ_FILE_API {
    version: 1,
    open_cbk: Some(open),
    read_cbk: Some(read),
    write_cbk: Some(write),
    seek_cbk: Some(seek),
    tell_cbk: Some(tell),
    close_cbk: Some(close),
    exists_cbk: Some(named),
    mkdir_cbk: Some(named),
    unlink_cbk: Some(named),
    rename_cbk: Some(rename),
};

type Raw = *mut c::PJ_CONTEXT;
type File = *mut c::PROJ_FILE_HANDLE;
type Name = *const c_char;
type Data = *mut c_void;

extern "C" fn open(_: Raw, _: Name, _: c::PROJ_OPEN_ACCESS, _: Data) -> File {
    null_mut()
}

extern "C" fn read(_: Raw, _: File, _: *mut c_void, _: usize, _: Data) -> usize {
    0
}

extern "C" fn write(_: Raw, _: File, _: *const c_void, _: usize, _: Data) -> usize {
    0
}

extern "C" fn seek(_: Raw, _: File, _: c_longlong, _: c_int, _: Data) -> c_int {
    0
}

extern "C" fn tell(_: Raw, _: File, _: Data) -> c_ulonglong {
    0
}

extern "C" fn close(_: Raw, _: File, _: Data) {}

extern "C" fn named(_: Raw, _: Name, _: Data) -> c_int {
    0
}

extern "C" fn rename(_: Raw, _: Name, _: Name, _: Data) -> c_int {
    0
}
