/** What Ajv found, told to the person who has to mend it: place, what was found, what is allowed. */
import type { ErrorObject } from 'ajv'
import { phraseOf } from './pattern-phrases.ts'
import { clip, type ProblemItem } from './problem.ts'
import { nearest } from './spelling.ts'

const ALLOWED_MAX = 100

interface Told {
  readonly code: ProblemItem['code']
  readonly message: string
  /** Added to the path of the error: the member that is missing or unknown. */
  readonly member?: string
  readonly allowed?: readonly string[]
}

type Schema = Record<string, unknown>

/** Items from the errors of one validation, each place and mistake once, at most `itemsMax`. */
export function shapeItems(errors: readonly ErrorObject[], itemsMax: number): ProblemItem[] {
  const items = new Map<string, ProblemItem>()
  for (const error of errors) {
    if (items.size === itemsMax) break
    const item = shapeItem(error)
    items.set(`${item.pointer} ${item.code}`, item)
  }
  return [...items.values()]
}

/** One item from one error. The error must come from an Ajv with `verbose`, which attaches schema and data. */
function shapeItem(error: ErrorObject): ProblemItem {
  const { code, message, member, allowed } = tell(error)
  const pointer = member === undefined ? error.instancePath : `${error.instancePath}/${escaped(member)}`
  return {
    pointer: clip(pointer, 500),
    code,
    message: clip(message, 600),
    ...(allowed && { allowed: allowed.slice(0, ALLOWED_MAX).map((value) => clip(value, 100)) }),
  }
}

function tell(error: ErrorObject): Told {
  const params = error.params as Record<string, unknown>
  const parent = (error.parentSchema ?? {}) as Schema
  switch (error.keyword) {
    case 'required':
      // A choice whose `method` is missing is told by both keywords; both say the same.
      if (tagOf(parent) === params.missingProperty) return wrongBranch({ tag: params.missingProperty }, parent)
      return missing(String(params.missingProperty), parent)
    case 'additionalProperties':
      return unknownField(String(params.additionalProperty), parent)
    case 'type':
      return wrongType(params.type, error.data)
    case 'enum':
      return notOneOf(error, (params.allowedValues as unknown[]).map(String), parent)
    case 'const':
      return notOneOf(error, [String(params.allowedValue)], parent)
    case 'discriminator':
      return wrongBranch(params, parent)
    case 'minimum':
    case 'maximum':
    case 'exclusiveMinimum':
    case 'exclusiveMaximum':
    case 'multipleOf':
      return { code: 'number-out-of-range', message: `${shown(error.data)} is out of range: ${error.message}.` }
    case 'minLength':
      return tooShort(error.data, Number(params.limit), parent)
    case 'maxLength':
      return { code: 'wrong-length', message: `${shown(error.data)} is too long: at most ${params.limit} characters.` }
    case 'minItems':
    case 'maxItems':
    case 'uniqueItems':
      return { code: 'wrong-length', message: `${shown(error.data)} ${error.message}.` }
    case 'pattern':
    case 'format':
      return { code: 'wrong-format', message: `${shown(error.data)} has the wrong form: ${expectation(parent)}.` }
    default:
      return { code: 'wrong-shape', message: `${shown(error.data)} ${error.message ?? 'has the wrong shape'}.` }
  }
}

/** A text that is far too short for its pattern is told what the pattern asks for, which says more than a length. */
function tooShort(data: unknown, limit: number, parent: Schema): Told {
  const phrase = typeof parent.pattern === 'string' ? phraseOf(parent.pattern) : undefined
  const asked = limit === 1 ? 'it must not be empty' : `at least ${limit} characters`
  return { code: 'wrong-length', message: `${shown(data)} is too short: ${phrase ?? asked}.` }
}

function missing(name: string, parent: Schema): Told {
  const described = descriptionOf(memberSchema(parent, name))
  return { code: 'missing-member', member: name, message: `'${clip(name, 60)}' is required${described}` }
}

function unknownField(name: string, parent: Schema): Told {
  const names = Object.keys((parent.properties as Schema | undefined) ?? {})
  const meant = nearest(name, names)
  const hint = meant === undefined ? '' : ` Did you mean '${meant}'?`
  return { code: 'unknown-field', member: name, message: `No such field: '${clip(name, 60)}'.${hint}`, allowed: names }
}

function wrongType(type: unknown, data: unknown): Told {
  const types = (Array.isArray(type) ? type : [type]).map(String)
  return {
    code: 'wrong-type',
    message: `Must be ${types.map(article).join(' or ')}, not ${shown(data)}.`,
    allowed: types,
  }
}

function notOneOf(error: ErrorObject, allowed: string[], parent: Schema): Told {
  const meant = typeof error.data === 'string' ? nearest(error.data, allowed) : undefined
  const hint = meant === undefined ? '' : ` Did you mean '${meant}'?`
  const dimension = /^Unit of (.+)\.$/.exec(String(parent.description ?? ''))?.[1]
  if (error.instancePath.endsWith('/unit')) {
    const of = dimension === undefined ? '' : ` of ${dimension}`
    return { code: 'unknown-unit', message: `${shown(error.data)} is not a unit${of} here.${hint}`, allowed }
  }
  return {
    code: 'unknown-value',
    message: `${shown(error.data)} is not one of the values allowed here.${hint}`,
    allowed,
  }
}

/** The member that tells the branches of a choice apart is missing or names none of them. */
function wrongBranch(params: Record<string, unknown>, parent: Schema): Told {
  const tag = String(params.tag)
  const branches = (parent.oneOf as Schema[] | undefined) ?? []
  const allowed = branches.flatMap((branch) => {
    const schema = memberSchema(branch, tag)
    return Array.isArray(schema.enum) ? schema.enum.map(String) : [String(schema.const)]
  })
  if (params.tagValue === undefined) {
    return {
      code: 'missing-member',
      member: tag,
      message: `'${tag}' is required; it says which form this is.`,
      allowed,
    }
  }
  const meant = typeof params.tagValue === 'string' ? nearest(params.tagValue, allowed) : undefined
  const hint = meant === undefined ? '' : ` Did you mean '${meant}'?`
  const code = typeof params.tagValue === 'string' ? 'unknown-value' : 'wrong-type'
  return { code, member: tag, message: `${shown(params.tagValue)} is not a ${tag} here.${hint}`, allowed }
}

const tagOf = (schema: Schema): unknown => (schema.discriminator as Schema | undefined)?.propertyName

const memberSchema = (parent: Schema, name: string): Schema =>
  (parent.properties as Record<string, Schema> | undefined)?.[name] ?? {}

const descriptionOf = (schema: Schema): string =>
  typeof schema.description === 'string' && schema.description !== '' ? `: ${schema.description}` : '.'

function expectation(schema: Schema): string {
  if (schema.format === 'date') return 'a date like 2026-05-04'
  if (schema.format === 'date-time') return 'a time with offset like 2026-05-04T09:30:00-07:00, seconds from 00 to 59'
  if (typeof schema.pattern === 'string') return phraseOf(schema.pattern) ?? `it must match ${schema.pattern}`
  return `it must be a ${String(schema.format)}`
}

const article = (type: string): string => (/^[aio]/.test(type) ? `an ${type}` : `a ${type}`)

/** What was found, short enough to print. */
function shown(data: unknown): string {
  if (data === null) return 'null'
  if (data === undefined) return 'nothing'
  if (typeof data === 'string') return `'${clip(data, 60)}'`
  if (Array.isArray(data)) return `an array of ${data.length}`
  if (typeof data === 'object') return 'an object'
  return typeof data === 'number' ? `the number ${data}` : String(data)
}

const escaped = (name: string): string => name.replaceAll('~', '~0').replaceAll('/', '~1')
