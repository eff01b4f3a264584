package page

// Routes are the patterns of every address that a page may lead to. The site
// registers exactly these for reading; a test in its package says so.
func Routes() []string {
	return []string{
		"/", "/open", "/import", "/legend", "/cautions", "/reader",
		"/job/{job}", "/job/{job}/part/{component}", "/job/{job}/at/{position...}",
		"/job/{job}/correct/{key}", "/job/{job}/withdraw/{key}",
		"/job/{job}/bench", "/job/{job}/bench/{component}", "/job/{job}/bench/{component}/sheet",
		"/shelf", "/shelf/{lot}", "/job/{job}/parts",
		"/job/{job}/findings", "/job/{job}/questions", "/job/{job}/targets", "/job/{job}/consequences", "/job/{job}/plan", "/job/{job}/plan.json", "/job/{job}/causes", "/job/{job}/running", "/job/{job}/log", "/api/v1/jobs/{job}/causes",
		"/job/{job}/intake", "/job/{job}/strip", "/job/{job}/find", "/job/{job}/labels.pdf", "/l/{job}/{label}", "/job/{job}/clean",
		"/job/{job}/clean/{component}", "/job/{job}/paper.pdf", "/job/{job}/transcribe/{component}",
		"/job/{job}/work", "/job/{job}/ticket/{stage}", "/job/{job}/ticket/{stage}/sheet.pdf",
		"/job/{job}/options", "/job/{job}/money", "/job/{job}/quote.pdf", "/job/{job}/quote/{digest}/{form}",
		"/job/{job}/photo", "/job/{job}/photo/{key}", "/photo/{digest}",
		"/job/{job}/record.pdf", "/job/{job}/assessment.json",
		"/machines", "/gauges", "/gauge/{gauge}", "/gauge/{gauge}/calibration", "/gauge/{gauge}/certificate", "/gauge/{gauge}/withdraw/{key}",
		"/api/v1/files/{digest}",
		"/family/{id}", "/family/new", "/family/{id}/revise", "/draft/{draft}", "/draft/{draft}/engine",
		"/draft/{draft}/part/{component}", "/draft/{draft}/family.yaml", "/job/{job}/repin", "/static/{file}", "/static/s/{version}/{file}", "/worker.js",
		"/devices", "/sign-in", "/lock", "/enrol", "/me", "/trust", "/authority.crt",
	}
}
