/**
 * The client of the torture, in a process of its own: submits without end, keeps a journal on its own disk of what it
 * was told, and repeats with the same key what it doesn't know. Told to finish, it repeats until it knows, then ends.
 */
import { createHash, randomUUID } from 'node:crypto'
import { once } from 'node:events'
import { Agent, type IncomingMessage, request } from 'node:http'
import { buffer } from 'node:stream/consumers'
import { setTimeout as sleep } from 'node:timers/promises'
import { sheetText } from '../bench/example.ts'
import { Journal } from './journal.ts'
import type { ClientTask, Progress } from './load.ts'

const PATIENCE_MS = 60_000
const PROGRESS_MS = 50
const PAUSE_MS = 25
/** How long the last repeats may take in all. */
const FINISH_MS = 90_000

interface Submission {
  readonly key: string
  readonly body: string
  readonly sha256: string
  /** An earlier try may have been stored. */
  inDoubt: boolean
}

type Told = { status: number; body: string } | 'not-sent' | 'cut'

const task = JSON.parse(process.argv[2]!) as ClientTask
const journal = new Journal(task.journal)
const agent = new Agent({ keepAlive: true, maxSockets: task.connections })
const counts = { stored: 0, unknown: 0, refused: 0, wrong: 0, unavailable: 0 }
const doubtful: Submission[] = []
let made = 0
let turn = 0
let finishing = false
let finishBy = Number.POSITIVE_INFINITY

const [before, after] = cutAt(sheetText, '"value":118.4,')

/** Each sheet has a reading of its own, so that one body stored twice shows by its hash. */
function make(): Submission {
  made += 1
  const body = `${before}"value":118.4${String(made).padStart(8, '0')},${after}`
  return { key: randomUUID(), body, sha256: createHash('sha256').update(body).digest('hex'), inDoubt: false }
}

function cutAt(text: string, mark: string): [string, string] {
  const place = text.indexOf(mark)
  if (place < 0) throw new Error(`The sheet holds no ${mark}`)
  return [text.slice(0, place), text.slice(place + mark.length)]
}

async function send(submission: Submission): Promise<Told> {
  const url = task.urls[turn++ % task.urls.length]!
  try {
    const sent = request(`${url}/v1/tests`, {
      method: 'POST',
      agent,
      timeout: PATIENCE_MS,
      headers: {
        authorization: `Bearer ${task.apiKey}`,
        'content-type': 'application/json',
        'idempotency-key': `"${submission.key}"`,
      },
    })
    sent.on('timeout', () => sent.destroy())
    sent.end(submission.body)
    const [answer] = (await once(sent, 'response')) as [IncomingMessage]
    return { status: answer.statusCode!, body: (await buffer(answer)).toString('utf8') }
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'ECONNREFUSED' ? 'not-sent' : 'cut'
  }
}

/** One try; answers whether the outcome is known now. */
async function attempt(submission: Submission): Promise<boolean> {
  const { key, sha256 } = submission
  let told = await send(submission)
  while (told === 'not-sent') {
    if (performance.now() > finishBy) return false
    await sleep(PAUSE_MS)
    told = await send(submission)
  }
  if (told === 'cut') return inDoubt(submission)
  const { status, body } = told
  if (status === 201) {
    const { id, ledgerIndex } = JSON.parse(body) as { id: string; ledgerIndex: number }
    await journal.write({ told: 'stored', key, sha256, id, index: ledgerIndex })
    counts.stored += 1
    return true
  }
  if (status === 503 || status === 504) {
    counts.unavailable += 1
    await sleep(PAUSE_MS)
    if (submission.inDoubt || !body.includes('nothing was stored')) return inDoubt(submission)
    await journal.write({ told: 'refused', key, sha256, status, body })
    counts.refused += 1
    return true
  }
  // The first with this key is still at work.
  if (status === 409 && body.includes('idempotency-in-progress')) return inDoubt(submission)
  await journal.write({ told: 'wrong', key, sha256, status, body })
  counts.wrong += 1
  return true
}

function inDoubt(submission: Submission): false {
  if (!submission.inDoubt) counts.unknown += 1
  submission.inDoubt = true
  return false
}

/** Every other time what is in doubt goes first: it meets the service while its first try may still be at work. */
function nextSubmission(): Submission | undefined {
  if (doubtful.length > 0 && (finishing || made >= task.submissionsMax || turn % 2 === 0)) return doubtful.shift()
  return finishing || made >= task.submissionsMax ? undefined : make()
}

async function connection(): Promise<void> {
  for (;;) {
    const submission = nextSubmission()
    if (submission !== undefined) {
      if (!(await attempt(submission))) doubtful.push(submission)
    } else if (finishing) return
    else await sleep(PAUSE_MS)
    if (performance.now() > finishBy) return
  }
}

const tell = (ended: boolean): void => void process.send!({ ...counts, ended } satisfies Progress)
const telling = setInterval(tell, PROGRESS_MS, false)
process.on('message', () => {
  finishing = true
  finishBy = performance.now() + FINISH_MS
})
process.on('disconnect', () => process.exit(1))
await Promise.all(Array.from({ length: task.connections }, connection))
for (const { key, sha256 } of doubtful) await journal.write({ told: 'undecided', key, sha256 })
clearInterval(telling)
await journal.close()
tell(true)
agent.destroy()
process.removeAllListeners('disconnect')
process.disconnect()
