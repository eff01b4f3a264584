package view

import (
	"fettle/internal/judge/assess"
)

// Questions is the page of all questions of a job.
type Questions struct {
	Frame
	Open, Answered []Question
	Blind          []Link // parts on which a second reading is asked for
}

// Question is something a reading raised, in words.
type Question struct {
	Href     string // of the value
	Text     string
	Where    string
	Reading  string // as typed
	Answer   string
	Reason   string
	Key, ID  string // of the reading entry, of the question
	IsOpen   bool
	Position string
}

// QuestionsPage makes the page of all questions.
func (c *Case) QuestionsPage(r Reader) Questions {
	v := Questions{Frame: c.frame(r, r.T("page.questions.title"), "questions", "", c.lastState(""))}
	for i := range c.Assessment.Questions {
		q := c.question(r, &c.Assessment.Questions[i])
		if q.IsOpen {
			v.Open = append(v.Open, q)
		} else {
			v.Answered = append(v.Answered, q)
		}
	}
	seen := map[string]bool{}
	for _, q := range v.Open {
		if comp := componentOf(q.Position); q.ID == assess.SecondReading && !seen[comp] {
			seen[comp] = true
			v.Blind = append(v.Blind, Link{Href: JobHref(c.id(), "bench", comp) + "?blind=yes", Text: c.Part(r, comp)})
		}
	}
	v.Under = r.N("page.questions.under", len(v.Open))
	return v
}

func (c *Case) openQuestions(r Reader) []Question {
	var out []Question
	for i := range c.Assessment.Questions {
		if q := &c.Assessment.Questions[i]; q.Answer == "" {
			out = append(out, c.question(r, q))
		}
	}
	return out
}

func (c *Case) question(r Reader, q *assess.Question) Question {
	v := Question{Href: AtHref(c.id(), q.Position, q.State), Where: c.Place(r, q.Position), Key: q.Key, ID: q.ID, Position: q.Position,
		Reason: q.Reason, IsOpen: q.Answer == ""}
	args := map[string]string{"position": q.Position, "state": q.State}
	for k, a := range q.Args {
		args[k] = a
	}
	v.Text = c.say(r, "question."+q.ID, args)
	if q.Answer != "" {
		v.Answer = r.or("page.answer."+q.Answer, q.Answer)
	}
	if rd, ok := c.Job.Find(q.Key); ok {
		v.Reading = r.Text(rd.Typed)
	}
	return v
}
