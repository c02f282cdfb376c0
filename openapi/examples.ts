/** From what was played to files a reader can open, and to the examples inside the API description. */
import type { Json, Recorded, RecordedAnswer, RecordedRequest } from './recorder.ts'

/** One file, `examples/<operationId>.json`. */
export interface ExampleFile {
  readonly request: RecordedRequest
  readonly answer: RecordedAnswer
  /** Requests that were refused, with the answer. */
  readonly problems?: readonly { readonly request: RecordedRequest; readonly answer: RecordedAnswer }[]
}

const LIST_LENGTH_MAX = 3

/** The first success of each operation, and the first refusal by each problem code. */
export function exampleFiles(records: readonly Recorded[]): Map<string, ExampleFile> {
  const files = new Map<string, ExampleFile>()
  for (const { operationId, request, answer } of records) {
    if (answer.status < 300 && !files.has(operationId)) files.set(operationId, { request, answer })
  }
  for (const { operationId, request, answer } of records) {
    if (answer.status < 400) continue
    const file = files.get(operationId)
    if (file === undefined) throw new Error(`${operationId} was only ever refused.`)
    files.set(operationId, { ...file, problems: [...(file.problems ?? []), { request, answer }] })
  }
  return new Map([...files].toSorted(([a], [b]) => (a < b ? -1 : 1)))
}

/** The description with examples of every request, answer and problem. Long lists are cut; the files have them whole. */
export function withExamples(document: Json, files: ReadonlyMap<string, ExampleFile>): Json {
  const copy = structuredClone(document)
  const problems = problemExamples(files)
  for (const methods of Object.values(copy.paths as Record<string, Record<string, Json>>)) {
    for (const operation of Object.values(methods)) embed(operation, files, problems)
  }
  const components = copy.components as Json
  components.examples = Object.fromEntries(
    [...problems]
      .toSorted(([a], [b]) => (a < b ? -1 : 1))
      .map(([code, value]) => [code, { summary: value.title, value }]),
  )
  return copy
}

function problemExamples(files: ReadonlyMap<string, ExampleFile>): Map<string, Json> {
  const problems = new Map<string, Json>()
  for (const { problems: refused = [] } of files.values()) {
    for (const { answer } of refused) {
      const body = answer.body as Json & { code: string }
      if (!problems.has(body.code)) problems.set(body.code, body)
    }
  }
  return problems
}

function embed(operation: Json, files: ReadonlyMap<string, ExampleFile>, problems: ReadonlyMap<string, Json>): void {
  const file = files.get(String(operation.operationId))
  for (const [status, response] of Object.entries(operation.responses as Record<string, Json>)) {
    const content = (response.content ?? {}) as Record<string, Json>
    const codes = ((response['x-codes'] ?? []) as string[]).filter((code) => problems.has(code))
    if (codes.length > 0) {
      content['application/problem+json']!.examples = Object.fromEntries(
        codes.map((code) => [code, { $ref: `#/components/examples/${code}` }]),
      )
    }
    const type = file?.answer.headers['content-type']?.split(';')[0]
    const media = type === undefined ? undefined : content[type]
    if (media !== undefined && Number(status) === file?.answer.status) media.examples = recorded(file.answer.body)
  }
  if (file !== undefined) embedRequest(operation, file.request)
}

function embedRequest(operation: Json, request: RecordedRequest): void {
  for (const parameter of (operation.parameters ?? []) as (Json & { name: string; in: string })[]) {
    const values = { path: request.pathValues, query: request.query, header: request.headers }[parameter.in]
    const value = values?.[parameter.name]
    const { type } = (parameter.schema ?? {}) as { type?: string }
    if (value !== undefined) parameter.example = type === 'integer' ? Number(value) : value
  }
  const content = ((operation.requestBody as Json | undefined)?.content ?? {}) as Record<string, Json>
  const type = request.headers?.['content-type'] ?? 'application/json'
  const media = content[type]
  // A request is shown whole, so that it can be sent as it stands.
  if (media !== undefined && request.body !== undefined) {
    media.examples = { recorded: { summary: 'As it was sent', value: request.body } }
  }
}

function recorded(body: unknown): Json {
  const value = shortened(body)
  const cut = JSON.stringify(value) !== JSON.stringify(body)
  return { recorded: { summary: cut ? 'As it was answered; long lists are cut' : 'As it was answered', value } }
}

/** The same value with at most three items in each list. */
function shortened(value: unknown): unknown {
  if (Array.isArray(value)) return value.slice(0, LIST_LENGTH_MAX).map(shortened)
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(Object.entries(value).map(([name, item]) => [name, shortened(item)]))
}
