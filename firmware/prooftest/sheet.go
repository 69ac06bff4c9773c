package prooftest

import (
	"html/template"
	"io"
)

// WriteHTML writes the report as a page of its own, made to be printed.
func (r *Report) WriteHTML(w io.Writer) error { return sheet.Execute(w, r) }

var sheet = template.Must(template.New("sheet").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Proof test of {{.Machine}}</title>
<style>
body { font: 11pt/1.4 serif; max-width: 60em; margin: 2em auto; padding: 0 1em; color: #000; background: #fff; }
h1 { font-size: 1.4em; }
dt { float: left; clear: left; width: 8em; }
dd { margin-left: 8em; }
table { border-collapse: collapse; width: 100%; margin: 1.5em 0; }
th, td { border-bottom: 1px solid #777; padding: .3em .6em .3em 0; text-align: left; vertical-align: top; }
tr { break-inside: avoid; }
tr.fail td { font-weight: bold; }
.sign { margin-top: 3em; display: flex; gap: 3em; }
.sign span { border-top: 1px solid #000; flex: 1; padding-top: .2em; }
</style>
</head>
<body>
<h1>Proof test of {{.Machine}}</h1>
<dl>
<dt>made</dt><dd>{{.Date}}</dd>
<dt>machine file</dt><dd>{{printf "%.16s" .Fingerprint}}</dd>
<dt>program</dt><dd>version {{.Program}}</dd>
<dt>extent</dt><dd>{{.Scope}}</dd>
<dt>result</dt><dd>{{.Tally}}</dd>
</dl>
<table>
<thead><tr><th>result</th><th>protective function</th><th>seen after, at most</th><th>allowed</th><th>remark</th></tr></thead>
<tbody>
{{range .Lines}}<tr class="{{.Result}}"><td>{{.Result}}</td><td>{{.Name}}</td><td>{{.Seen}}</td><td>{{.Allowed}}</td><td>{{.Remark}}</td></tr>
{{end}}</tbody>
</table>
<p>` + Caution + `</p>
<p>{{.Next}}.</p>
<p class="sign"><span>made by</span><span>put back in order and seen by</span></p>
</body>
</html>
`))
