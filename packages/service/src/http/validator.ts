/**
 * Two Ajv compilers. Bodies are taken as they are: nothing is coerced, filled in or dropped, because an altered
 * reading is lost data. Queries, paths and header fields are text by nature and are coerced.
 */
import { Ajv, type Options, type ValidateFunction } from 'ajv'
import ajvFormats from 'ajv-formats'
import type { FastifySchemaCompiler } from 'fastify'
import type { LateCompiling } from './late-compiling.ts'
import { parted } from './parted-schema.ts'
import { clip, counted, notFound, Problem, type ProblemItem } from './problem.ts'
import { shapeItems } from './shape-errors.ts'

const ERRORS_MAX = 50
/**
 * Above this size only the first mistake is told: a hostile body must not buy more than about 2 ms of a thorough
 * pass. An honest sheet of one run has 3 kB.
 */
const THOROUGH_BYTES_MAX = 32 * 1024

const strict: Options = {
  strict: true,
  // A choice of methods requires `method`, which its branches declare.
  strictRequired: false,
  allErrors: false,
  coerceTypes: false,
  useDefaults: false,
  removeAdditional: false,
  discriminator: true,
  verbose: true,
  // Each reference a function of its own: see parted-schema.ts.
  inlineRefs: false,
  // Ajv's passes over its own code double the time to compile a sheet's schema and gain nothing measurable after it.
  code: { optimize: 0 },
}

function compiler(options: Options): Ajv {
  const ajv = new Ajv({ ...strict, ...options })
  ajvFormats.default(ajv)
  const [date, dateTime] = [ajvFormats.default.get('date'), ajvFormats.default.get('date-time')]
  // The calendar of RFC 3339 has a year 0; that of the database goes from 1 BC to AD 1.
  ajv.addFormat('date', { validate: (text: string) => !text.startsWith('0000') && accepts(date, text) })
  // RFC 3339 as conventions go here: a capital T between date and time, and no leap second, which most clocks and
  // databases can't hold.
  ajv.addFormat('date-time', {
    validate: (text: string) => /^\d{4}-\d\d-\d\dT\d\d:\d\d:[0-5]\d/.test(text) && accepts(dateTime, text),
  })
  return ajv
}

function accepts(format: unknown, text: string): boolean {
  const validate = (format as { validate: (text: string) => boolean }).validate
  return validate(text)
}

const bodies = compiler({})
const bodiesThorough = compiler({ allErrors: true })
const texts = compiler({ coerceTypes: true, useDefaults: true })

/** A schema is compiled once, however many operations use it; the thorough form only when it is needed. */
const compiled = new WeakMap<object, ValidateFunction>()
const compiledThorough = new WeakMap<object, ValidateFunction>()

function once(cache: WeakMap<object, ValidateFunction>, ajv: Ajv, schema: object): ValidateFunction {
  let validate = cache.get(schema)
  if (validate === undefined) {
    validate = ajv.compile(parted(schema))
    cache.set(schema, validate)
  }
  return validate
}

/** The problem with a body, or undefined if it has the shape. `bytes` is the size it came in. */
export function bodyProblem(schema: object, body: unknown, bytes: number): Problem | undefined {
  const validate = once(compiled, bodies, schema)
  if (validate(body)) return undefined
  let errors = validate.errors ?? []
  if (bytes <= THOROUGH_BYTES_MAX) {
    const thorough = once(compiledThorough, bodiesThorough, schema)
    thorough(body)
    errors = thorough.errors ?? errors
  }
  const items = shapeItems(errors, ERRORS_MAX)
  const more = items.length === ERRORS_MAX ? ` No more than ${ERRORS_MAX} are listed.` : ''
  return new Problem('invalid-request', `${counted(items.length)}; nothing was stored.${more}`, { errors: items })
}

/** Compiles what a body will be checked by; throws where the compiler doesn't understand the schema. */
export function checkBodySchema(schema: object): void {
  once(compiled, bodies, schema)
}

/** Fastify's validator compiler for paths, queries and header fields; bodies were checked by `body.ts` before. */
export const textCompiler =
  (compiling: LateCompiling): FastifySchemaCompiler<object> =>
  ({ schema, httpPart }) => {
    if (httpPart === 'body') return (value: unknown) => ({ value })
    let compiled: ValidateFunction | undefined
    const compile = () => (compiled ??= texts.compile(schema))
    compiling.later(compile)
    return (value: unknown) => {
      const validate = compile()
      if (validate(value)) return { value }
      const items = shapeItems(validate.errors ?? [], ERRORS_MAX)
      return { error: httpPart === 'params' ? noSuchPath(value, items[0]) : parameterProblem(items) }
    }
  }

function parameterProblem(items: readonly ProblemItem[]): Problem {
  const errors = items.map(({ pointer = '', ...item }) => ({ parameter: pointer.split('/')[1] ?? '', ...item }))
  return new Problem('invalid-request', `${counted(errors.length)}: ${errors.map((e) => e.parameter).join(', ')}.`, {
    errors,
  })
}

/**
 * What the path names and can't be is simply not there: `{plantId: 'x'}` → no plant 'x'. Where there is a closed
 * list of what it can be, the list is told.
 */
function noSuchPath(params: unknown, item: ProblemItem | undefined): Problem {
  const name = item?.pointer?.split('/')[1] ?? 'record'
  const value = String((params as Record<string, unknown>)[name] ?? '')
  const noun = name.replace(/Id$/, '').replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)
  if (item?.allowed === undefined) return notFound(noun, value)
  return new Problem('not-found', `There is no ${noun} '${clip(value, 100)}'; there are ${item.allowed.join(', ')}.`)
}
