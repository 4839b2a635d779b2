//! The tooltip of each action.

use crate::{
    document::Twin,
    session::{Action, Ask, Scope, StudyWish, TimelineFile},
};

impl Action {
    /// One sentence on what it does, empty where the name says it all.
    pub fn tooltip(&self) -> &'static str {
        match self {
            Self::Ask(Ask::Export) | Self::Export(_) => {
                "Writes placements, 3MF, STL, the drawing and the run sheet of every plate into a folder"
            }
            Self::Ask(Ask::ExportPlate(_)) | Self::ExportPlate(..) => {
                "Writes the files of this plate into a folder, beside those of other plates"
            }
            Self::Ask(Ask::RunSheet(_)) | Self::PrintRunSheet(..) => {
                "Writes the page that goes to the machine as PDF: drawing, figures, checklist, table to fill in"
            }
            Self::PrintOn(_) => "The paper of run sheets, labels and the timeline",
            Self::BothHalves(true) => "3MF and STL hold the twins too; mirrored ones are named so",
            Self::BothHalves(false) => {
                "3MF and STL hold the copies of the left half: the machine doubles them by itself"
            }
            Self::Ask(Ask::AddParts) => "STL, OBJ or 3MF; files can also be dropped on the window",
            Self::Duplicate => "One more of each selected copy, placed where it fits",
            Self::Grid { .. } => "Fills rows and columns with copies of what is selected",
            Self::Lock(true) => "Pack and Top up leave these copies where they are",
            Self::Lock(false) => "Pack and Top up may move these copies again",
            Self::DuplicatePlate(_) => "The same plate again, with copies of all that lies on it",
            Self::MoveAllApart => "Moves copies in conflict to the nearest free place; locked ones stay",
            Self::AddKeepOut(..) => "An area of the bed that stays free: clips, a purge area",
            Self::Pack(Scope::Plate) => "Same copies, tighter",
            Self::Pack(Scope::Job) => "Same copies on fewer plates",
            Self::Pack(Scope::Order) => {
                "Places everything ordered that is not on a plate yet, on new plates where needed"
            }
            Self::Pack(Scope::Selection) => "Moves only what is selected",
            Self::TopUp(_) => "As many more copies as fit; copies that are not locked may be moved to make room",
            Self::KeepLying(_) => "Top up adds copies and moves none",
            Self::EndBy(_) => {
                "Top up adds, and Pack keeps, as many copies as end by a time; what Pack takes off goes to a further plate"
            }
            Self::TopUpArea(_) => "As many more copies as fit the area that you draw",
            Self::Deal => {
                "Spreads the whole order over plates, machines and days: on time first, then the earliest finish; locked, fixed and started plates stay"
            }
            Self::Take => "Ends the search and keeps the layout shown",
            Self::Cancel => "Ends the search; the plate stays as it was",
            Self::Tally(_) => "Writes down what came out of this plate: good and bad copies, real hours, filament",
            Self::Ask(Ask::ReadTally) => {
                "A CSV table with the columns plate, hours, good, bad; all of it is taken, or nothing"
            }
            Self::Ask(Ask::WriteTally) => "A CSV table with a line a plate, for a spreadsheet",
            Self::UseLearned(_) => "Estimates use it from now on",
            Self::RemoveOutcome(_) => "The plate counts as not tallied again",
            Self::NozzleChanged(_) => "The machine has to be tuned again",
            Self::Ask(Ask::Gauge) => {
                "Times what your toolpath program made of this plate, and compares it with the estimate"
            }
            Self::TakeFactor => "Scales this recipe's estimates to match the measurement",
            Self::Ask(Ask::GaugeFolder) | Self::GaugeFolder(_) => {
                "Times all machine-code files of a folder and lists them, the shortest first"
            }
            Self::KeepAsShop => {
                "The shop file is what new jobs begin with. Puts this job's machines, materials, recipes and spools there"
            }
            Self::RefreshFromShop => {
                "Brings machines, materials, recipes and spools of this job up to date with the shop file"
            }
            Self::SuggestedFootings(_) => {
                "Gives every copy on this plate that could tip over the footing suggested for it"
            }
            Self::Study(StudyWish::Footings(..)) => {
                "Fills a plate with this part for each footing: copies, hours, grams, clean-up, margin, good copies"
            }
            Self::Study(StudyWish::Plate(..)) => "This plate as it is and on other footings, side by side",
            Self::Study(StudyWish::Copies { .. }) => {
                "Lays out and times 1, 2, 3 … copies up to a full plate, and counts good parts a day under people's hours"
            }
            Self::ImproveSequence => {
                "Tries other sequences, and other machines with the same bed: fewer late parts first, then an earlier end"
            }
            Self::CancelImprove => "Ends the search; the sequence stays as it was",
            Self::UseHours => "Keeps the hours shown as this shop's, with the name of the time zone",
            Self::Ask(Ask::Timeline(TimelineFile::Calendar)) => {
                "Prints and hand work of the plan as events of a calendar file (ICS)"
            }
            Self::Ask(Ask::Timeline(TimelineFile::Table)) => "The plan as a table (CSV), one line per plate",
            Self::MarkRun(_, mark) => mark.tooltip(),
            Self::MoveRun { .. } => "Another machine, or another place in the sequence of its machine",
            Self::CancelStudy => "Ends the study; the rows so far stay",
            Self::UseFooting(..) => "The part and all its copies stand on this footing from now on",
            Self::LayOutStudied(_) | Self::LayOutCopies(_) => "Adds a plate with these copies as they are drawn here",
            Self::UsePlateRow(_) => "Footings and places as drawn here; what does not fit goes to a further plate",
            Self::FootingAsPart(_) => "All copies of this part stand on the footing of the part again",
            Self::Mend(..) => "Changes the copy of the mesh that Stonehand works with; the file stays as it is",
            Self::UndoMend(..) => "Takes this mend away; later ones stay",
            Self::SplitBodies(_) => "One part per connected body",
            Self::OrderHands(_) => {
                "Adds the mirror image as an order line of its own; a handed twin then counts as one of each"
            }
            Self::SetTwin(_, None) => "Every copy once, on the whole bed",
            Self::SetTwin(_, Some(Twin::Shifted)) => {
                "The second carriage lays every copy again, half the bed's width to the right"
            }
            Self::SetTwin(_, Some(Twin::Handed)) => {
                "The second carriage lays the mirror image of every copy, about the middle of the bed"
            }
            _ => "",
        }
    }
}
