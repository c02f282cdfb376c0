/** From a response to the data of a success, or to the error it stands for. */
import type { Call } from './call.ts'
import {
  AnswerError,
  type Circumstances,
  errorClassOf,
  type LiftledgerError,
  NotModifiedError,
  type Problem,
} from './errors.ts'

export interface Read {
  readonly data: unknown
  readonly bytes: Uint8Array<ArrayBuffer>
}

/**
 * The data of a success, and the bytes it was read from.
 *
 * @throws ApiError if the service refused or failed; AnswerError if this can't have come from the service.
 */
export async function readResponse(response: Response, call: Call, circumstances: Circumstances): Promise<Read> {
  if (!response.ok) throw await refusal(response, circumstances)
  const bytes = new Uint8Array(await response.arrayBuffer())
  if (call.answer === 'none' || response.status === 204) return { data: undefined, bytes }
  if (call.answer === 'bytes') return { data: bytes, bytes }
  const text = new TextDecoder().decode(bytes)
  if (call.answer === 'text') return { data: text, bytes }
  const data = parse(text)
  if (data !== undefined) return { data, bytes }
  const found = response.headers.get('content-type') ?? 'no content type'
  throw new AnswerError(
    `status ${response.status} came with ${found} instead of JSON; is baseUrl that of the service?`,
    circumstances,
  )
}

async function refusal(response: Response, circumstances: Circumstances): Promise<LiftledgerError> {
  const { status, headers } = response
  if (status === 304) return new NotModifiedError({ status, headers, body: '', problem: undefined }, circumstances)
  // In a page a redirect shows as status 0, without its target.
  if (response.type === 'opaqueredirect' || (status >= 300 && status < 400)) {
    await response.body?.cancel()
    const target = headers.get('location') ?? 'another address'
    return new AnswerError(`redirected to ${target}; set baseUrl to where the service is`, circumstances)
  }
  const text = await response.text()
  const body = parse(text) ?? text
  const Class = errorClassOf(status)
  return new Class({ status, headers, body, problem: isProblem(body) ? body : undefined }, circumstances)
}

/** The value of a JSON text; undefined if it is none. */
function parse(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return undefined
  }
}

function isProblem(body: unknown): body is Problem {
  if (typeof body !== 'object' || body === null) return false
  const { code, detail, errors } = body as Record<string, unknown>
  return typeof code === 'string' && typeof detail === 'string' && (errors === undefined || Array.isArray(errors))
}
