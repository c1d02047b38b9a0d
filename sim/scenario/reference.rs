//! stub
/// Later.
pub fn reference() -> String {
    String::new()
}
