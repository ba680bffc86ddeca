//! DXF as pairs of lines, a group code and a value, by the DXF reference: written for these tests, sharing nothing with the
//! importer.

use crate::smock::At;

/// Something on a layer, with its points.
#[derive(Clone, Debug, Default)]
pub(crate) struct Entity {
    pub(crate) kind: String,
    pub(crate) layer: String,
    pub(crate) text: String,
    pub(crate) points: Vec<At>,
}

/// The blocks of a file by name, and last, without a name, its entities.
pub(crate) fn blocks(bytes: &[u8]) -> Vec<(String, Vec<Entity>)> {
    let text: String = bytes.iter().map(|&b| char::from(b)).collect();
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let pairs = lines.chunks_exact(2).map(|pair| (pair[0].parse::<i32>().expect("a group code"), pair[1]));
    let mut blocks: Vec<(String, Vec<Entity>)> = Vec::new();
    let mut is_block_head = false;
    let mut entity: Option<Entity> = None;
    let mut x = 0.0;
    for (code, value) in pairs {
        let number = || value.parse::<f64>().expect("a number");
        match (code, value) {
            (0, "VERTEX") => {}
            (0, kind) => {
                if let (Some(done), Some(block)) = (entity.take(), blocks.last_mut()) {
                    block.1.push(done);
                }
                is_block_head = kind == "BLOCK";
                match kind {
                    "BLOCK" => blocks.push((String::new(), Vec::new())),
                    "SECTION" | "ENDSEC" | "ENDBLK" | "SEQEND" | "EOF" => {}
                    _ => entity = Some(Entity { kind: kind.to_owned(), ..Entity::default() }),
                }
            }
            (2, "ENTITIES") => blocks.push((String::new(), Vec::new())),
            (2, name) if is_block_head => {
                if let Some(block) = blocks.last_mut() {
                    block.0 = name.to_owned();
                }
            }
            (8, layer) => {
                if let Some(entity) = &mut entity {
                    entity.layer = layer.to_owned();
                }
            }
            (1, words) => {
                if let Some(entity) = &mut entity {
                    entity.text = words.to_owned();
                }
            }
            (10 | 11, _) => x = number(),
            (20 | 21, _) => {
                if let Some(entity) = &mut entity {
                    entity.points.push((x, number()));
                }
            }
            _ => {}
        }
    }
    blocks
}
