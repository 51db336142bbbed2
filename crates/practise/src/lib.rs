//! Practice at reading foot films: sets with sealed references, lessons that name the landmark at fault, and progress.
//!
//! * [`PracticeSet`] is a folder of films with one sealed [`Reference`] for each foot.
//! * [`made_set`] makes one of simulated feet, [`set_from_studies`] one of studies that a supervisor traced;
//!   [`study_fitness`] says beforehand which studies can serve.
//! * [`lesson`] tells where an attempt differs from the reference and which landmark explains each number's error.
//! * [`Progress`] keeps a resident's attempts, and [`next_foot`] chooses what to practise next.
//!
//! `docs/practice.md` gives each rule and each file with its source. No number is made here: the engine
//! (`plumbray-measure`) measures both tracings, and its own derivatives say which landmark is to blame.
#![deny(missing_docs)]

mod lesson;
mod making;
mod progress;
mod set;

pub use lesson::{
    Attempt, Blame, CortexLesson, FilmLesson, HEADLINES, Judgement, LandmarkLesson, LengthUnit,
    Lesson, LessonError, MeasurementLesson, PartBlame, PlacedThing, ThingBlame, Toward, lesson,
};
pub use making::{
    BURNT_IN, DifficultyShares, MakingError, Picture, SeenPicture, SimulatedSet, StudyFitness,
    StudyForSet, SupervisedSet, made_set, set_from_studies, study_fitness, write_grey_picture,
};
pub use progress::{
    COMPETENCE_LIMIT, INTERVALS, MISSES_LIMIT, NextFoot, PROGRESS_ENDING, PROGRESS_FORMAT_VERSION,
    PastAttempt, PastNumber, PastThing, Progress, ProgressError, Weakness, Why, add_attempt,
    load_progress, miss_rates, next_foot, progress_path, save_progress,
};
pub use set::{
    Damage, Difficulty, DifficultyGrade, DifficultyReason, LessonDefaults, Limit, MOST_FEET,
    PracticeFilm, PracticeFoot, PracticeSet, REFERENCE_FORMAT_VERSION, Reference, ReferenceSource,
    SET_FILE, SET_FORMAT_VERSION, SetError, reference_from_bytes, reference_to_bytes,
    set_from_text, set_to_text,
};
