from loading.selectors.documents import load_request_document

__all__ = ["load_request_document"]
