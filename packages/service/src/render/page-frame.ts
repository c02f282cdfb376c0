/** What every page is set in: one file, no script, nothing fetched; readable on a phone and on paper. */
import { html, raw } from 'hono/html'
import { STYLE } from './page-style.ts'

export const pageFrame = (title: string, body: ReturnType<typeof html>): string =>
  String(html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body>
${body}
</body>
</html>
`)
