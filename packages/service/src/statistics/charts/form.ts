/** How a chart is asked for. */
import { Type } from 'typebox'

export const ChartForm = {
  width: Type.Integer({ minimum: 280, maximum: 1600, default: 640, description: 'Width in pixels.' }),
  theme: Type.Enum(['auto', 'light', 'dark'], {
    default: 'auto',
    description: '`auto` follows the reader’s system.',
  }),
}
