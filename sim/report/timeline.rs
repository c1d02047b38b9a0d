//! timeline
