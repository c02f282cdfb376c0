/** Holds every answer of a test against the API description: its status, its problem code, its shape. */
import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js'
import ajvFormats from 'ajv-formats'

type Json = Record<string, unknown>

interface Operation {
  readonly method: string
  readonly path: RegExp
  readonly id: string
  readonly responses: Record<string, Json>
}

export interface Answer {
  readonly status: number
  readonly headers: Readonly<Record<string, unknown>>
  readonly body: unknown
}

export class AnswerCheck {
  readonly #ajv: Ajv2020
  readonly #operations: readonly Operation[]
  readonly #validators = new Map<string, ValidateFunction>()

  constructor(document: Json) {
    this.#ajv = new Ajv2020({ strict: false, allErrors: true })
    ajvFormats.default(this.#ajv)
    this.#ajv.addSchema({ $id: 'api', components: document.components })
    this.#operations = Object.entries(document.paths as Record<string, Record<string, Json>>).flatMap(
      ([path, methods]) =>
        Object.entries(methods).map(([method, operation]) => ({
          method: method.toUpperCase(),
          path: new RegExp(`^${path.replace(/\{[^}]+\}/g, '[^/]+')}$`),
          id: String(operation.operationId),
          responses: operation.responses as Record<string, Json>,
        })),
    )
  }

  /** Throws if the description doesn't know of such an answer. Addresses it doesn't know are not its business. */
  expectDeclared(method: string, url: string, answer: Answer): void {
    const path = url.split('?')[0]!
    const operation = this.#operations.find((one) => one.method === method && one.path.test(path))
    if (operation === undefined) return
    const response = operation.responses[answer.status]
    if (response === undefined) {
      throw new Error(
        `${operation.id} answered ${answer.status}, which it does not declare: ${JSON.stringify(answer.body)}`,
      )
    }
    const codes = response['x-codes'] as string[] | undefined
    const { code } = answer.body as { code?: string }
    if (codes !== undefined && !codes.includes(String(code))) {
      throw new Error(`${operation.id} answered the problem ${code}, which it does not declare.`)
    }
    const validate = this.#validator(operation, answer)
    if (validate !== undefined && !validate(answer.body)) {
      throw new Error(
        `${operation.id} answered ${answer.status} in another shape: ${this.#ajv.errorsText(validate.errors)}`,
      )
    }
  }

  #validator({ id, responses }: Operation, { status, headers }: Answer): ValidateFunction | undefined {
    // Not modified: there is nothing to hold against anything.
    if (status === 304 && headers['content-type'] === undefined) return undefined
    const type = String(headers['content-type']).split(';')[0]!
    const media = (responses[status]?.content as Record<string, Json> | undefined)?.[type]
    if (media === undefined) throw new Error(`${id} answered ${status} as ${type}, which it does not declare.`)
    const name = `${id} ${status} ${type}`
    let validate = this.#validators.get(name)
    if (validate === undefined) {
      // References in the document begin at its root, which is the schema added above.
      const text = JSON.stringify(media.schema).replaceAll('"#/components/', '"api#/components/')
      validate = this.#ajv.compile(JSON.parse(text) as Json)
      this.#validators.set(name, validate)
    }
    return validate
  }
}
