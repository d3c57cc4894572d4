"""The fixed words of a handout, for its page and for its text to be edited alike."""

from __future__ import annotations

from sandbox.language.display import Display


class Phrases:
    """Headings, column headings and the labels of what is to be filled in, in one language."""

    def __init__(self, display: Display) -> None:
        self._display, say = display, display.say
        self.name, self.school_class, self.date = say("Name"), say("Class"), say("Date")
        self.apparatus, self.care = say("Apparatus"), say("Take care")
        self.predict = say("Predict first, before anything moves")
        self.i_predict, self.unit, self.because = say("I predict"), say("unit:"), say("because")
        self.measure, self.calculate, self.questions = (
            say("Measure"),
            say("Calculate"),
            say("Questions"),
        )
        self.trial = say("trial")
        self.calculation_columns = (say("what"), say("how"), say("your figures"), say("unit"))
        self.watch, self.predictions = say("What to watch"), say("The predictions")
        self.answer_columns = (say("Quantity"), say("Answer"))
        self.working = say("Line by line")
        self.working_note = say(
            "Each line: symbols = numbers put in = result. Results are carried on unrounded and "
            "printed to five figures."
        )
        if display.system != "SI":
            self.working_note = say(
                "Each line: symbols = numbers put in = result, in SI units. Results are carried on "
                "unrounded and printed to five figures."
            )
        self.answers = say("Questions and answers")

    def unworked(self, reason: str) -> str:
        """Why the lines stop short."""
        return self._display.say(
            "Not worked by hand any further: {reason}. The answers above come from solving all of "
            "the machine’s equations together.",
            reason=reason,
        )

    def prediction_value(self, number: int) -> str:
        """What is written in the box of a prediction."""
        return self._display.say("Prediction {number}, value", number=number)

    def prediction_unit(self, number: int) -> str:
        """What is chosen beside that."""
        return self._display.say("Prediction {number}, unit", number=number)

    def reading(self, trial: int, heading: str, unit: str) -> str:
        """What is written in a cell of the data table."""
        return self._display.say(
            "Trial {trial}: {reading}", trial=trial, reading=f"{heading} ({unit})"
        )

    def second_line(self, question: int) -> str:
        """The second line for an answer."""
        return self._display.say("Question {number}, second line", number=question)
