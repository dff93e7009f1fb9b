import './base/tokens.css'
import './base/parts.css'
import './app.css'
import { render } from 'preact'
import { App } from './app.tsx'

render(<App />, document.getElementById('page')!)
