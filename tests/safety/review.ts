/** `node tests/safety/review.ts 2026-11-26`: says what was read on that day, once it was. */
import { writeFileSync } from 'node:fs'
import { reviewPage } from './page.ts'

const [date] = process.argv.slice(2)
if (date === undefined || !/^\d{4}-\d{2}-\d{2}$/.test(date))
  throw new Error('Say on which day the lines were read: node tests/safety/review.ts YYYY-MM-DD')
writeFileSync(new URL('../../docs/safety-review.md', import.meta.url), reviewPage(date))
